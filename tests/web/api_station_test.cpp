// The station on the page: what it says of microphones, contacts, settings, the ledger, a reload and
// profiles.

#include <atomic>
#include <fstream>
#include <iterator>

#include "daemon/profile_file.h"
#include "daemon/records/document_rows.h"
#include "daemon/records/profile_choice.h"
#include "daemon/records/sha256.h"
#include "daemon/settings/station_file.h"
#include "tests/web/described.h"
#include "tests/web/served_page.h"

using namespace quietpass;
using namespace quietpass::test;
using Json = nlohmann::json;

namespace {

constexpr const char* kStation = R"([station]
name = "box-1"
species = "cattle"
timezone = "America/Denver"
profile = "own.toml"

[restraint]
kind = "box"

[[microphone]]
name = "head"
sensitivity_db_spl_fs = 120.0

[[contact]]
role = "stunned"
name = "stun gate"

[scoring]
limit_percent = 5.0
basis = "a guide, first edition"
)";

std::string file_text_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

std::string shipped_cattle() {
    return file_text_of(shipped_profiles_folder() + "/cattle.toml");
}

std::string with(std::string text, const std::string& what, const std::string& by) {
    const std::size_t at = text.find(what);
    REQUIRE(at != std::string::npos);
    return text.replace(at, what.size(), by);
}

// A page whose settings are a real file's, which is among the records as `run` puts it there.
struct PageOfStation {
    TestFolder settings_folder;
    std::string own_profile = with(shipped_cattle(), "cut = 1.", "cut = 2.");
    StationSettings settings;
    std::unique_ptr<ServedPage> page;
    std::unique_ptr<HttpClient> client;

    std::atomic<int> reloads{0};

    PageOfStation() {
        settings_folder.write("own.toml", own_profile);
        settings_folder.write("station.toml", kStation);
        start(kStation);
        REQUIRE(client->log_in("manager", kPassword).status == 200);
    }
    // Anew, with what stands in the station file now.
    void restart() {
        client.reset();
        start(file_text_of(settings_folder / "station.toml"));
        REQUIRE(client->log_in("administrator", kPassword).status == 200);
    }
    void start(const std::string& text) {
        settings = read_station_file((settings_folder / "station.toml").string());
        page = std::make_unique<ServedPage>([this](StationSettings& used) {
            const PageSettings served = used.page;
            used = settings;
            used.page = served;
        });
        page->on_reload = [this] { ++reloads; };
        Store store(page->folder / "records.db");
        store.change([&](SQLite::Database& database) {
            add_document(database, {"station_file", "station.toml", text}, 1);
        });
        client = std::make_unique<HttpClient>(page->address);
    }
    Json get(const std::string& path) const { return client->get("/api/v1" + path).json(); }
    void write(const std::string& text) { settings_folder.write("station.toml", text); }
};

} // namespace

TEST_CASE("The station tells its microphones, contacts, settings with their lines, and the ledger's head") {
    const PageOfStation at;
    MicrophoneMinute minute;
    minute.microphone = "head";
    minute.end_s = 60.0;
    minute.heard_s = 60.0;
    minute.level_db = 81.5;
    minute.hum_s = 12.0;
    minute.sensitivity_db = 120.0;
    at.page->tell([&](StationEvents& to) { to.on_health(minute); });
    at.page->book->on_edge({30.0, Role::kStunned, true});
    at.page->book->on_edge({31.0, Role::kStunned, false});
    at.page->book->on_contact_fault(40.0, "stun gate", "chattering", "since 40");
    REQUIRE(at.page->writer->flush(std::chrono::seconds(10)));
    at.page->feed->turn(60.0, at.page->utc);
    Json station;
    REQUIRE(wait_until([&] {
        station = at.get("/station");
        return station["clock"]["heard_until"] == "2026-03-08T05:01:00.000Z";
    }));
    INFO(station.dump(1));
    const Json& head = station["microphones"][0];
    CHECK(head["minute"]["unit"] == "dB SPL");
    CHECK(head["minute"]["level_db"] == 81.5);
    CHECK(head["minute"]["hum_s"] == 12.0);
    CHECK(head["calibration"]["sensitivity_db_spl_fs"] == 120.0);
    const Json& contact = station["contacts"][0];
    CHECK(contact["name"] == "stun gate");
    CHECK(contact["edge"]["closed"] == false);
    CHECK(contact["edge"]["utc"] == "2026-03-08T05:00:31.000Z");
    CHECK(contact["fault"]["what"] == "chattering");
    CHECK(station["profile"]["in_use"] == true);
    CHECK(station["profile"]["shipped"] == false);
    CHECK(station["disk"]["free_mb"] > 0.0);
    const Json& lines = station["settings"]["lines"];
    CHECK(std::count(lines.begin(), lines.end(),
                     Json{{"key", "scoring.limit_percent"}, {"value", "5.0"}, {"line", 19}}) == 1);
    CHECK(std::count(lines.begin(), lines.end(),
                     Json{{"key", "contact[stun gate].role"}, {"value", "\"stunned\""}, {"line", 15}}) == 1);
    const Store store(at.page->folder / "records.db");
    store.read([&](SQLite::Database& database) {
        CHECK(station["ledger"]["records"] == database.execAndGet("SELECT max(seq) FROM ledger").getInt64());
        CHECK(
            station["ledger"]["head"] ==
            database.execAndGet("SELECT lower(hex(hash)) FROM ledger ORDER BY seq DESC LIMIT 1").getString());
    });
}

TEST_CASE("A reload is told before it is done: what changes, key by key, or the line that is wrong") {
    PageOfStation at;
    CHECK(at.get("/station/reload")["same"] == true);
    CHECK(at.get("/station/reload")["changes"].empty());
    at.write(with(with(kStation, "5.0", "3.0"), "name = \"head\"", "name = \"head\"\nup_race_m = 1.5"));
    Json reload = at.get("/station/reload");
    CHECK(reload["same"] == false);
    CHECK(reload["wrong"].is_null());
    CHECK(reload["changes"] ==
          Json{{{"key", "microphone[head].up_race_m"}, {"now", nullptr}, {"then", "1.5"}, {"line", 12}},
               {{"key", "scoring.limit_percent"}, {"now", "5.0"}, {"then", "3.0"}, {"line", 20}}});
    CHECK(at.get("/station")["settings"]["lines"].dump().find("up_race_m") == std::string::npos);
    at.write(with(kStation, "limit_percent", "limit_per_cent"));
    reload = at.get("/station/reload");
    INFO(reload.dump());
    CHECK(reload["wrong"].get<std::string>().find("station.toml:18: scoring.limit_percent") !=
          std::string::npos);
    CHECK(reload["changes"].empty());
    at.write("name = ");
    CHECK(at.get("/station/reload")["wrong"].get<std::string>().find("not TOML") != std::string::npos);
}

TEST_CASE("Profiles are listed with the one in use, and two of them compared term by term") {
    const PageOfStation at;
    const Json profiles = at.get("/profiles")["profiles"];
    const auto in_use =
        std::find_if(profiles.begin(), profiles.end(), [](const Json& one) { return one["in_use"] == true; });
    const auto shipped = std::find_if(profiles.begin(), profiles.end(), [](const Json& one) {
        return one["shipped"] == true && one["species"] == "cattle";
    });
    REQUIRE(in_use != profiles.end());
    REQUIRE(shipped != profiles.end());
    const std::string a = (*shipped)["sha256"];
    const std::string b = (*in_use)["sha256"];
    const Json compared = at.get("/profiles/compare?a=" + a + "&b=" + b);
    REQUIRE(compared["differences"].size() == 1);
    CHECK(compared["differences"][0]["key"] == "card[moo].cut");
    CHECK(compared["differences"][0]["b"].get<std::string>().rfind("2.", 0) == 0);
    CHECK(at.get("/profiles/compare?a=" + a + "&b=" + a)["differences"].empty());
}

TEST_CASE("An administrator chooses the profile where the station file names none, and can go back") {
    PageOfStation at;
    const Described api(*at.client);
    const std::string own = sha256_hex(at.own_profile);
    const std::string shipped = sha256_hex(shipped_cattle());
    api.post("/profiles/use", "/profiles/use", {{"sha256", own}}); // a manager may not
    REQUIRE(at.client->log_in("administrator", kPassword).status == 200);
    CHECK(at.get("/profiles")["named_by_file"] == true);
    CHECK(at.client->post("/api/v1/profiles/use", {{"sha256", own}}).status == 409); // the file names one
    api.post("/profiles/use", "/profiles/use", {{"sha256", own}});

    const std::string unnamed = with(kStation, "profile = \"own.toml\"\n", "");
    at.write(unnamed);
    at.restart();
    const Described again(*at.client);
    CHECK(at.get("/profiles")["named_by_file"] == false);
    CHECK(again.post("/profiles/use", "/profiles/use", {{"sha256", shipped}})["in_use"] == true);
    at.page->folder.write("profiles/own.toml", at.own_profile); // as `quietpass tune` would be told to
    CHECK(again.post("/profiles/use", "/profiles/use", {{"sha256", own}})["in_use"] == false);
    const auto choice = chosen_profile(at.page->folder.path());
    REQUIRE(choice);
    CHECK(choice->sha256 == own);
    CHECK(choice->who == "administrator");
    CHECK(file_text_of(kept_profile(at.page->folder.path(), own)) == at.own_profile);
    CHECK(at.page->accesses().back() == "administrator choose profile " + own);
    again.post("/profiles/use", "/profiles/use", {{"sha256", shipped}}); // back
    const Json choices = again.get("/profiles", "/profiles")["choices"];
    REQUIRE(choices.size() == 3);
    CHECK(choices[0]["sha256"] == shipped);
    CHECK(choices[1]["sha256"] == own);

    again.post("/profiles/use", "/profiles/use", {{"sha256", "none"}});
    CHECK(at.client->post("/api/v1/profiles/use", {{"sha256", "none"}}).status == 404);
    const std::string pig = file_text_of(shipped_profiles_folder() + "/pig.toml");
    CHECK(at.client->post("/api/v1/profiles/use", {{"sha256", sha256_hex(pig)}}).status == 409);
    CHECK(at.client->post("/api/v1/profiles/use", {{"sha256", 7}}).status == 422);
    CHECK(again.get("/profiles", "/profiles")["choices"].size() == 3);
}

TEST_CASE("A reload is asked of the daemon by an administrator, and refused while the file is wrong") {
    PageOfStation at;
    REQUIRE(at.client->log_in("administrator", kPassword).status == 200);
    const Described api(*at.client);
    CHECK(api.post("/station/reload", "/station/reload")["reload"] == true);
    CHECK(at.reloads == 1);
    CHECK(at.page->accesses().back() == "administrator reload settings");
    at.write(with(kStation, "limit_percent", "limit_per_cent"));
    api.post("/station/reload", "/station/reload");
    CHECK(at.client->post("/api/v1/station/reload").status == 409);
    CHECK(at.reloads == 1);
    REQUIRE(at.client->log_in("manager", kPassword).status == 200);
    CHECK(at.client->post("/api/v1/station/reload").status == 403);
}

TEST_CASE("Routes of the station answer as openapi.json describes, to a manager only") {
    const PageOfStation at;
    const Described api(*at.client);
    api.get("/station", "/station");
    api.get("/station/reload", "/station/reload");
    api.get("/station/checks", "/station/checks");
    const Json profiles = api.get("/profiles", "/profiles")["profiles"];
    const std::string first = profiles[0]["sha256"];
    api.get("/profiles/compare",
            "/profiles/compare?a=" + first + "&b=" + profiles[1]["sha256"].get<std::string>());
    api.get("/profiles/compare", "/profiles/compare?a=" + first + "&b=none");
    REQUIRE(at.client->log_in("reviewer", kPassword).status == 200);
    CHECK(at.client->get("/api/v1/station").status == 403);
    CHECK(at.client->get("/api/v1/profiles").status == 403);
    ServedPage bare; // no station file, nothing recorded of it
    HttpClient client(bare.address);
    REQUIRE(client.log_in("administrator", kPassword).status == 200);
    Described(client).get("/station", "/station");
    Described(client).get("/station/reload", "/station/reload");
}
