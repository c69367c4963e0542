// `quietpass check` as its user meets it: before the daemon runs, while it runs, and with things in disorder.

#include <signal.h>

#include <catch2/catch.hpp>

#include "tests/end_to_end/plant.h"
#include "tests/servers/tls_identity.h"
#include "tests/web/http_client.h"

using namespace quietpass::test;
using nlohmann::json;

namespace {

Outcome check(const Plant& plant, const std::vector<std::string>& more = {}) {
    std::vector<std::string> words = {quietpass_program(),
                                      "check",
                                      "--station",
                                      (plant.folder / "station.toml").string(),
                                      "--out",
                                      (plant.folder / "out").string()};
    words.insert(words.end(), more.begin(), more.end());
    return run_program(words, plant.environment());
}

// By what they are of.
std::map<std::string, json> lines_of_check(const Plant& plant) {
    const Outcome outcome = check(plant, {"--json"});
    INFO(outcome.out << outcome.err);
    std::map<std::string, json> lines;
    const json all = json::parse(outcome.out);
    for (const json& line : all["checks"]) lines[line["what"]] = line;
    return lines;
}

} // namespace

TEST_CASE(
    "A check before the first run opens microphones and contacts, and says each thing in a line or two") {
    const Plant plant;
    auto lines = lines_of_check(plant);
    CHECK(lines["station file"]["state"] == "good");
    CHECK(lines["daemon"]["state"] == "look");
    CHECK(lines["microphone head"]["state"] == "good");
    CHECK(lines["microphone head"]["words"].get<std::string>().find("not calibrated") != std::string::npos);
    CHECK(lines["contact entered"]["state"] == "good");
    CHECK(lines["contact entered"]["words"] == "open now");
    CHECK_FALSE(std::filesystem::exists(plant.folder / "out")); // nothing was made

    const Outcome text = check(plant);
    CHECK(text.exit_code == 0);
    for (const std::string& line : lines_of(text.out)) {
        CHECK(line.size() <= 80);
        const bool begins = line.starts_with("good  ") || line.starts_with("look  ");
        CHECK((begins || line.starts_with("      ")));
    }
}

TEST_CASE("What is out of order is bad, says what to do, and the exit code tells") {
    Plant plant;
    const std::string good = text_of(plant.folder / "station.toml");
    plant.contacts.reset(); // the input module is gone
    auto lines = lines_of_check(plant);
    CHECK(lines.count("contact entered") == 0);
    const auto dead = std::find_if(lines.begin(), lines.end(), [](const auto& line) {
        return line.first.starts_with("contacts at modbus://127.0.0.1");
    });
    REQUIRE(dead != lines.end());
    CHECK(dead->second["state"] == "bad");
    CHECK(dead->second["words"].get<std::string>().find("entered, body_held") != std::string::npos);
    CHECK(dead->second["do"].get<std::string>().find("input module") != std::string::npos);
    CHECK(check(plant).exit_code == 1);
    CHECK(check(plant, {"--no-inputs"}).exit_code == 0);

    write_text(plant.folder / "station.toml", "[station]\nname = 7\n");
    const Outcome broken = check(plant);
    CHECK(broken.exit_code == 2);
    CHECK(broken.out.find("station.toml:2: station.name") != std::string::npos);

    std::string other = good;
    const std::size_t device = other.find("device = \"");
    other.replace(device, other.find('\n', device) - device, "device = \"no such one\"");
    write_text(plant.folder / "station.toml", other);
    lines = lines_of_check(plant);
    CHECK(lines["microphones"]["state"] == "bad");
    CHECK(lines["microphones"]["words"].get<std::string>().find("no such one") != std::string::npos);
}

TEST_CASE("What run refuses to serve a check calls bad before, and a start that is refused leaves no file") {
    const Plant plant;
    const std::string station = text_of(plant.folder / "station.toml");
    const auto with_page = [&](const std::string& address, int port) {
        write_text(plant.folder / "station.toml", station + "\n[page]\naddress = \"" + address +
                                                      "\"\nport = " + std::to_string(port) + "\n");
    };
    const auto refused = [&](const std::string& words, int exit_code) {
        const json page = lines_of_check(plant)["page"];
        CHECK(page["state"] == "bad");
        CHECK(page["words"].get<std::string>().find(words) != std::string::npos);
        CHECK(check(plant).exit_code == 1);
        const Outcome run = run_program(plant.run_words(), plant.environment());
        INFO(run.err);
        CHECK(run.exit_code == exit_code);
        for (const auto& entry : std::filesystem::directory_iterator(plant.folder / "out"))
            CHECK_FALSE(entry.path().filename().string().starts_with("contacts_"));
    };
    with_page("0.0.0.0", 0);
    refused("nobody may log in yet", 2);
    with_page("127.0.0.1", plant.contacts_port);
    refused("is taken by another program", 1);
    with_page("127.0.0.1", 0);
    CHECK(lines_of_check(plant)["page"]["state"] == "good");
}

TEST_CASE("While the daemon listens a check tells of it from its records, and disturbs nothing") {
    const Plant plant;
    Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return Plant::passages_shown(daemon) >= 1; }));
    auto lines = lines_of_check(plant);
    CHECK(lines["daemon"]["state"] == "good");
    CHECK(lines["records"]["state"] == "good");
    CHECK(lines["contact entered"]["state"] == "good");
    CHECK(lines.count("microphone head") == 1);
    CHECK(lines["permissions"]["state"] == "good");
    daemon.signal(SIGTERM);
    CHECK(daemon.wait() == 0);
    const json record = plant.shift_record();
    CHECK(record["microphones"][0]["not_heard_s"].empty());
}

TEST_CASE("A certificate that ends within the month is an alarm, and the page is served all the same") {
    const Plant plant;
    const TlsIdentity identity = make_tls_identity(plant.folder.path(), "127.0.0.1"); // for a day
    write_text(plant.folder / "station.toml",
               text_of(plant.folder / "station.toml") + "\n[page]\nport = 0\ncertificate = \"" +
                   identity.certificate + "\"\nkey = \"" + identity.key + "\"\n");
    Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return plant.log().find("raised (certificate_ends)") != std::string::npos; }));
    INFO(plant.log());
    CHECK(plant.log().find("certificate of the page: good for 1 more days") != std::string::npos);
    const std::string mark = "page: https://127.0.0.1:";
    REQUIRE(plant.log().find(mark) != std::string::npos);
    const int port = std::stoi(plant.log().substr(plant.log().find(mark) + mark.size()));
    HttpClient client("https://127.0.0.1:" + std::to_string(port), "", identity.authority);
    CHECK(client.get("/healthz").status == 200);
    CHECK(lines_of_check(plant)["certificate"]["state"] == "look");
    daemon.signal(SIGTERM);
    CHECK(daemon.wait() == 0);
}
