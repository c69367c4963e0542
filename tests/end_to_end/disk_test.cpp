// A disk that fills up, becomes read-only or is slow, under the real daemon: clips give way first, records go
// on or wait, and each of it is said.

#include <signal.h>

#include <cerrno>

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cstdint>
#include <fstream>
#include <iostream>
#include <string>
#include <vector>

#include "daemon/alarms/stored_alarm.h"
#include "daemon/clock.h"
#include "daemon/contacts/contacts_csv.h"
#include "daemon/ledger/store_check.h"
#include "daemon/records/clip_rows.h"
#include "daemon/records/sha256.h"
#include "daemon/records/store.h"
#include "daemon/records/utc_text.h"
#include "daemon/settings/station_file.h"
#include "tests/end_to_end/plant.h"
#include "tests/end_to_end/small_disk.h"

using namespace quietpass::test;
using quietpass::StoredAlarm;
using quietpass::StoredClip;

namespace {

// Sound is filed all the time in short pieces, so that the disk is written to; what is over is soon cleared.
void write_settings(const Plant& plant, const std::string& min_free_mb) {
    const std::int64_t now_ns = quietpass::RealClock().utc_ns();
    write_text(plant.folder / "station.toml",
               text_of(plant.folder / "station.toml") + "\n[alarms]\ngone_s = 1\ndisk_low_mb = 0\n" +
                   "[clips]\nquiet_percent = 0\nlongest_s = 10\nmin_free_mb = " + min_free_mb +
                   "\ncontinuous_from = \"" + quietpass::utc_text(now_ns - 60'000'000'000) +
                   "\"\ncontinuous_until = \"" + quietpass::utc_text(now_ns + 12 * 3600'000'000'000) +
                   "\"\n");
}

bool says(const Plant& plant, const std::string& words) {
    return plant.log().find(words) != std::string::npos;
}

std::string line_with(const Plant& plant, const std::string& words) {
    for (const std::string& line : lines_of(plant.log())) {
        if (line.find(words) != std::string::npos) return line;
    }
    return {};
}

std::size_t clips_on_disk(const Plant& plant) {
    std::error_code ignored;
    std::size_t count = 0;
    for (const auto& entry :
         std::filesystem::recursive_directory_iterator(plant.folder / "out" / "clips", ignored)) {
        if (entry.path().extension() == ".flac") ++count;
    }
    return count;
}

std::vector<StoredAlarm> alarms_of(const quietpass::Store& store, const std::string& cause) {
    auto alarms = quietpass::alarms_in(store.alarm_events());
    std::erase_if(alarms, [&](const StoredAlarm& alarm) { return alarm.last_seen.cause != cause; });
    return alarms;
}

std::size_t passages_stored(const Plant& plant) {
    try {
        const quietpass::Store store(plant.folder / "out" / "records.db");
        return store.read_shift(store.shifts().at(0).shift_id)->passages.size();
    } catch (const std::exception&) {
        return 0; // the disk may refuse a reader's lock too
    }
}

// What must hold whatever the disk did: each passage shown is in the store and in the shift record, the
// ledger fits, each clip is whole, and contacts.csv has the same edges as the store.
void check_whole(const Plant& plant, std::size_t shown) {
    const std::filesystem::path out = plant.folder / "out";
    const quietpass::Store store(out / "records.db");
    REQUIRE(store.shifts().size() == 1);
    const auto rows = store.read_shift(store.shifts()[0].shift_id);
    REQUIRE(rows);
    CHECK(rows->passages.size() == shown);
    CHECK(plant.shift_record()["passages"] == shown);
    store.read([&](SQLite::Database& database) {
        const auto verdict = quietpass::check_store(database);
        INFO((verdict.misfit ? quietpass::words_of(*verdict.misfit) : "no misfit"));
        CHECK_FALSE(verdict.misfit);
        for (const StoredClip& clip : quietpass::read_clips(database, {})) {
            INFO(clip.row.file);
            CHECK(quietpass::sha256_hex_of_file(out / clip.row.file) == clip.row.sha256);
        }
    });
    const auto settings = quietpass::read_station_file(plant.folder / "station.toml");
    for (const auto& entry : std::filesystem::directory_iterator(out)) {
        if (!entry.path().filename().string().starts_with("contacts_")) continue;
        const auto changes = quietpass::read_contacts_csv(entry.path(), settings);
        const auto edges = std::count_if(changes.begin(), changes.end(), [](const auto& change) {
            return change.what == quietpass::ContactChange::What::kLevel;
        });
        CHECK(static_cast<std::size_t>(edges) == rows->edges.size());
    }
}

struct DiskState {
    std::int32_t delay_ms = 0;
    std::int32_t error = 0; // EROFS: it became read-only; EIO: it is gone
};

// The same disk for the daemon, with a will of the test's own.
class BadDisk {
  public:
    explicit BadDisk(const Plant& plant) : file_(plant.folder / "disk"), folder_(plant.folder / "out") {
        write_text(file_, std::string(sizeof(DiskState), '\0'));
    }
    Environment around(Environment environment) const {
        environment["LD_PRELOAD"] = BAD_DISK;
        environment["QUIETPASS_BAD_DISK"] = folder_.string();
        environment["QUIETPASS_BAD_DISK_STATE"] = file_.string();
        return environment;
    }
    void be(DiskState state) const {
        std::fstream out(file_, std::ios::in | std::ios::out | std::ios::binary);
        out.write(reinterpret_cast<const char*>(&state), sizeof state);
        out.flush();
        REQUIRE(out);
    }

  private:
    std::filesystem::path file_;
    std::filesystem::path folder_;
};

} // namespace

TEST_CASE(
    "A disk that fills up: clips stop first with an alarm, then records wait with one, and all goes on") {
    const Plant plant("", {}, "demo", "4");
    SmallDisk disk(plant.folder / "out", 64);
    if (!disk.there()) return;
    write_settings(plant, "16");
    Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return clips_on_disk(plant) >= 1; }));

    // Less than clips need, more than records do.
    disk.leave_free(8'000'000);
    REQUIRE(wait_until([&] { return says(plant, "raised (clips_stopped)"); }));
    const std::size_t stored = passages_stored(plant);
    REQUIRE(wait_until([&] { return passages_stored(plant) > stored; }));
    CHECK_FALSE(says(plant, "raised (records_not_written)"));

    disk.leave_free(0);
    REQUIRE(wait_until([&] { return says(plant, "raised (records_not_written)"); }));
    const std::size_t shown = Plant::passages_shown(daemon);
    REQUIRE(wait_until([&] { return Plant::passages_shown(daemon) > shown; }));
    const std::size_t clips = clips_on_disk(plant);

    disk.empty();
    CHECK(wait_until([&] { return says(plant, "records are written again"); }));
    CHECK(wait_until([&] { return says(plant, "cleared (records_not_written)"); }));
    CHECK(wait_until([&] { return says(plant, "clips are kept again"); }));
    CHECK(wait_until([&] { return says(plant, "cleared (clips_stopped)"); }));
    CHECK(wait_until([&] { return clips_on_disk(plant) > clips; }));
    daemon.signal(SIGTERM);
    CHECK(daemon.wait() == 0);
    INFO(daemon.err() << plant.log());
    std::cout << line_with(plant, "no clips are kept") << "\n"
              << line_with(plant, "records can't be written") << "\n";
    check_whole(plant, Plant::passages_shown(daemon));
    const quietpass::Store store(plant.folder / "out" / "records.db");
    for (const char* const cause : {"clips_stopped", "records_not_written"}) {
        const auto alarms = alarms_of(store, cause);
        INFO(cause);
        REQUIRE(alarms.size() == 1);
        CHECK(alarms[0].state == "cleared");
    }
}

// Animals are counted on, both alarms are raised, and when the disk is mended nothing is missing.
void check_survives(int error) {
    const Plant plant("", {}, "demo", "4");
    write_settings(plant, "0");
    const BadDisk disk(plant);
    Background daemon(plant.run_words(), disk.around(plant.environment()), plant.folder / "o",
                      plant.folder / "e");
    REQUIRE(wait_until([&] { return clips_on_disk(plant) >= 1 && Plant::passages_shown(daemon) >= 1; }));
    disk.be({.delay_ms = 0, .error = error});
    CHECK(wait_until([&] { return says(plant, "raised (records_not_written)"); }));
    CHECK(wait_until([&] { return says(plant, "raised (clips_stopped)"); }));
    const std::size_t shown = Plant::passages_shown(daemon);
    CHECK(wait_until([&] { return Plant::passages_shown(daemon) > shown; }));
    disk.be({});
    CHECK(wait_until([&] { return says(plant, "cleared (records_not_written)"); }));
    CHECK(wait_until([&] { return says(plant, "cleared (clips_stopped)"); }));
    daemon.signal(SIGTERM);
    CHECK(daemon.wait() == 0);
    INFO(daemon.err() << plant.log());
    std::cout << line_with(plant, "no clips are kept") << "\n"
              << line_with(plant, "records can't be written") << "\n";
    check_whole(plant, Plant::passages_shown(daemon));
}

TEST_CASE(
    "A disk that becomes read-only: alarms of clips and of records, and nothing is lost when it is mended") {
    check_survives(EROFS);
}

TEST_CASE("A disk that is gone: alarms of clips and of records, and nothing is lost when it is back") {
    check_survives(EIO);
}

TEST_CASE("A slow disk holds up nobody who hears: no gap, and each record is there a little later") {
    const Plant plant("", {}, "demo", "4");
    write_settings(plant, "0");
    const BadDisk disk(plant);
    Background daemon(plant.run_words(), disk.around(plant.environment()), plant.folder / "o",
                      plant.folder / "e");
    REQUIRE(wait_until([&] { return Plant::passages_shown(daemon) >= 1; }));
    disk.be({.delay_ms = 100, .error = 0});
    const std::size_t shown = Plant::passages_shown(daemon);
    CHECK(wait_until([&] { return Plant::passages_shown(daemon) > shown + 1; }));
    disk.be({});
    daemon.signal(SIGTERM);
    CHECK(daemon.wait() == 0);
    INFO(daemon.err() << plant.log());
    check_whole(plant, Plant::passages_shown(daemon));
    const quietpass::Store store(plant.folder / "out" / "records.db");
    CHECK(store.read_shift(store.shifts().at(0).shift_id)->gaps.empty());
}

TEST_CASE("A disk that is read-only at the start is refused in one line") {
    const Plant plant;
    SmallDisk disk(plant.folder / "out", 8);
    if (!disk.there() || !disk.make_read_only()) return;
    const Outcome outcome = run_program(plant.run_words("2"), plant.environment());
    CHECK(outcome.exit_code == 1);
    CHECK(lines_of(outcome.err).size() == 1);
    CHECK(outcome.err.find((plant.folder / "out").string()) != std::string::npos);
    std::cout << outcome.err;
}
