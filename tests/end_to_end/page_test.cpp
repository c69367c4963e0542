// The page of the real daemon: people are added by the command, a scenario is watched live, a call is heard
// and judged.

#include <signal.h>
#include <sys/stat.h>

#include <catch2/catch.hpp>

#include "daemon/records/store.h"
#include "tests/end_to_end/plant.h"
#include "tests/web/http_client.h"
#include "tests/web/raw_socket.h"

using namespace quietpass::test;

namespace {

// With one line of standard input.
Outcome users(const std::string& words, const std::string& out, const std::string& input = "") {
    const std::string command = "printf '%s\\n' '" + input + "' | '" + quietpass_program() + "' users " +
                                words + " --out '" + out + "'";
    return run_program({"/bin/sh", "-c", command});
}

} // namespace

TEST_CASE("The page of the running daemon: log in, see the count change, hear a call, judge it") {
    const Plant plant;
    const std::string out = plant.folder / "out";
    write_text(plant.folder / "station.toml",
               text_of(plant.folder / "station.toml") + "\n[page]\nport = 0\n");
    std::filesystem::create_directories(out);
    REQUIRE(users("add ann --role reviewer", out, "a long enough one").exit_code == 0);

    Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
    const std::string mark = "page: http://127.0.0.1:";
    REQUIRE(wait_until([&] { return plant.log().find(mark) != std::string::npos; }));
    INFO(plant.log());
    const int port = std::stoi(plant.log().substr(plant.log().find(mark) + mark.size()));
    const std::string address = "http://127.0.0.1:" + std::to_string(port);
    HttpClient client(address);
    CHECK(client.get("/healthz").body == "ok\n");
    REQUIRE(client.log_in("ann", "a long enough one").status == 200);

    LiveListener listener(port, client.cookie);
    REQUIRE(listener.status == 101);
    REQUIRE(listener.next_of("hello"));
    int edges = 0;
    int calls = 0;
    int passages = 0;
    nlohmann::json share;
    while (passages < 3) {
        const auto message = listener.next(std::chrono::seconds(30));
        REQUIRE(message);
        const std::string kind = (*message)["kind"];
        edges += kind == "edge" ? 1 : 0;
        calls += kind == "call" ? 1 : 0;
        passages += kind == "passage" ? 1 : 0;
        if (kind == "share") share = (*message)["share"];
    }
    CHECK(edges >= 6);
    CHECK(calls >= 1);
    CHECK(listener.next_of("share")->at("share")["scored"] == 3);

    nlohmann::json heard;
    REQUIRE(wait_until([&] {
        heard = client.get("/api/v1/calls?counted=1").json()["calls"];
        return !heard.empty() && heard.back()["clip_id"].is_number();
    }));
    const auto call = heard.back();
    const std::string clip = "/api/v1/clips/" + call["clip_id"].dump() + "/audio";
    CHECK(client.get(clip, {"Range: bytes=0-3"}).body == "fLaC");
    const Reply judged =
        client.post("/api/v1/findings",
                    {{"shift_id", call["shift_id"]}, {"call_ids", {call["call_id"]}}, {"verdict", "call"}});
    CHECK(judged.status == 201);

    // A change by the command ends the session at once.
    REQUIRE(users("role ann --role wall", out).exit_code == 0);
    CHECK(client.get("/api/v1/session").status == 401);
    CHECK(listener.closes(std::chrono::seconds(10)));

    daemon.signal(SIGTERM);
    CHECK(daemon.wait() == 0);
    CHECK(client.get("/healthz").status == 0);
    const quietpass::Store store(plant.folder / "out" / "records.db");
    CHECK(store.integrity_errors().empty());
}

TEST_CASE("Users are added, listed, given roles and passwords, and removed; each in one line") {
    const TestFolder folder;
    const std::string out = folder.path();
    CHECK(users("add ann --role manager", out, "a long enough one").exit_code == 0);
    CHECK(users("add ann --role wall", out, "a long enough one").exit_code == 2);
    const Outcome brief = users("add bob --role wall", out, "short");
    CHECK(brief.exit_code == 2);
    CHECK(lines_of(brief.err).size() == 1);
    CHECK(users("add 'b b' --role wall", out, "a long enough one").exit_code == 2);
    CHECK(users("add bob --role king", out, "a long enough one").exit_code == 2);
    CHECK(users("role ann --role administrator", out).exit_code == 0);
    CHECK(users("password ann", out, "another long one").exit_code == 0);
    CHECK(users("password bob", out, "another long one").exit_code == 2);
    const auto listed = lines_of(users("list --csv", out).out);
    REQUIRE(listed.size() == 2);
    CHECK(listed[0] == "name,role,added,changed");
    CHECK(listed[1].starts_with("ann,administrator,"));
    for (const std::string& line : lines_of(users("list", out).out)) CHECK(line.size() <= 80);
    CHECK(users("remove ann", out).exit_code == 0);
    CHECK(users("remove ann", out).exit_code == 2);
    CHECK(users("list", out + "/nowhere").exit_code == 2);
    struct stat state {};
    REQUIRE(stat((folder / "users.db").c_str(), &state) == 0);
    CHECK((state.st_mode & 0777U) == 0600);
    CHECK(text_of(folder / "users.db").find("a long enough one") == std::string::npos);
    CHECK(text_of(folder / "records.db").find("argon2id") == std::string::npos);
}

TEST_CASE("A page for other machines before anybody may log in stops the start, in one line") {
    const Plant plant;
    write_text(plant.folder / "station.toml",
               text_of(plant.folder / "station.toml") + "\n[page]\naddress = \"0.0.0.0\"\nport = 0\n");
    const Outcome outcome = run_program(plant.run_words("2"), plant.environment());
    CHECK(outcome.exit_code == 2);
    REQUIRE(lines_of(outcome.err).size() == 1);
    CHECK(outcome.err.find("quietpass users add") != std::string::npos);
}
