// New settings for a daemon that runs: SIGHUP takes them, a wrong file changes nothing.

#include <signal.h>

#include <SQLiteCpp/SQLiteCpp.h>

#include <catch2/catch.hpp>
#include <fstream>

#include "daemon/records/access_rows.h"
#include "daemon/records/profile_choice.h"
#include "daemon/records/sha256.h"
#include "daemon/records/store.h"
#include "tests/end_to_end/plant.h"

using namespace quietpass::test;
using nlohmann::json;

namespace {

std::vector<json> shift_records(const Plant& plant) {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(plant.folder / "out" / "shifts"))
        files.push_back(entry.path() / "shift.json");
    std::sort(files.begin(), files.end());
    std::vector<json> records;
    for (const auto& file : files) records.push_back(json::parse(text_of(file)));
    return records;
}

void replace_in(const std::filesystem::path& file, const std::string& what, const std::string& by) {
    std::string text = text_of(file);
    const std::size_t at = text.find(what);
    REQUIRE(at != std::string::npos);
    write_text(file, text.replace(at, what.size(), by));
}

} // namespace

TEST_CASE(
    "A reload takes the new settings, closes the shift's record and begins another; a wrong file is told "
    "and changes nothing") {
    const Plant plant;
    const std::filesystem::path station = plant.folder / "station.toml";
    Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return Plant::passages_shown(daemon) >= 2; }));
    INFO(plant.log());

    const std::string good = text_of(station);
    write_text(station, "[station]\nname = 7\n");
    daemon.signal(SIGHUP);
    REQUIRE(wait_until([&] { return plant.log().find("the settings are not taken") != std::string::npos; }));
    CHECK(plant.log().find("station.toml:2: station.name") != std::string::npos);
    CHECK(daemon.running());
    const std::size_t before = Plant::passages_shown(daemon);

    write_text(station, good);
    replace_in(station, "limit_percent = 5", "limit_percent = 3");
    daemon.signal(SIGHUP);
    REQUIRE(wait_until([&] { return plant.log().find("settings anew") != std::string::npos; }));
    REQUIRE(wait_until([&] {
        return lines_of(plant.log()).back().find("listens at") != std::string::npos ||
               Plant::passages_shown(daemon) > before + 1;
    }));
    daemon.signal(SIGTERM);
    CHECK(daemon.wait() == 0);

    const auto records = shift_records(plant);
    REQUIRE(records.size() == 2);
    CHECK(records[0]["limit_percent"] == 5.0);
    CHECK(records[1]["limit_percent"] == 3.0);
    CHECK(records[0]["hashes"]["configuration"] == quietpass::sha256_hex(good));
    CHECK(records[1]["hashes"]["configuration"] == quietpass::sha256_hex(text_of(station)));
    CHECK(records[0]["passages"].get<int>() >= 2);
    const Outcome verified =
        run_program({quietpass_program(), "verify", "--out", (plant.folder / "out").string()});
    INFO(verified.out << verified.err);
    CHECK(verified.exit_code == 0);
}

TEST_CASE(
    "A profile chosen on the page is used from the next start on; altered behind its back it is refused") {
    const Plant plant;
    const std::filesystem::path out = plant.folder / "out";
    std::filesystem::create_directories(out / "profiles");
    std::string text = text_of(std::filesystem::path(SHIPPED_PROFILES) / "cattle.toml");
    text += "# another one\n";
    const std::string sha256 = quietpass::sha256_hex(text);
    write_text(quietpass::kept_profile(out, sha256), text);
    {
        quietpass::Store store(out / "records.db");
        store.change([&](SQLite::Database& database) {
            quietpass::add_access(database, {1, "ines", quietpass::kChooseProfile,
                                             quietpass::profile_subject(sha256), "cattle, version 2"});
        });
    }
    const Outcome run = run_program(plant.run_words("5"), plant.environment());
    INFO(run.err << plant.log());
    REQUIRE(run.exit_code == 0);
    CHECK(plant.shift_record()["hashes"]["profile"] == sha256);

    write_text(quietpass::kept_profile(out, sha256), text + "# and more\n");
    const Outcome refused = run_program(plant.run_words("5"), plant.environment());
    CHECK(refused.exit_code == 2);
    CHECK(lines_of(refused.err).size() == 1);
    CHECK(refused.err.find("is not the profile that ines chose") != std::string::npos);
}
