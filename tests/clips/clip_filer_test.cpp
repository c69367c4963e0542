#include "daemon/clips/clip_filer.h"

#include <catch2/catch.hpp>

#include "tests/clips/clip_house.h"

using namespace quietpass;

TEST_CASE("A clip's file and its row say the same", "[clips]") {
    ClipHouse house;
    REQUIRE(house.filer->file(house.job()));
    const auto clips = house.clips();
    REQUIRE(clips.size() == 1);
    const ClipRow& row = clips[0].row;
    CHECK(row.clip_id == 1);
    CHECK(row.file == "clips/2026/03/02/20260302T130501_234Z_call_1.flac");
    const auto bytes = house.files.read("/out/" + row.file);
    REQUIRE(bytes);
    CHECK(row.sha256 == sha256_hex(*bytes));
    CHECK(row.bytes == static_cast<std::int64_t>(bytes->size()));
    CHECK(row.passage_id == 12);
    CHECK(row.call_id == 17);
    CHECK(row.end_s == 1.0);
    CHECK(row.start_utc_ns == kStart_ns);
    CHECK(row.microphones == "head");
    CHECK(house.filer->state().filed == 1);
    CHECK(rows_and_files_agree(house));
}

TEST_CASE("A power cut before any step leaves no row without its whole file and no half file", "[clips]") {
    int cuts = 0;
    for (int step = 0;; ++step) {
        ClipHouse house;
        REQUIRE(house.filer->file(house.job()));
        house.files.cut_power_before(step);
        bool cut = false;
        try {
            house.filer->file(house.job(0.1));
            house.filer->file(house.job(1.0)); // another folder
        } catch (const PowerCut&) {
            cut = true;
            ++cuts;
        }
        house.files.restart();
        house.start();
        INFO("power cut before step " << step);
        REQUIRE(rows_and_files_agree(house));
        // It goes on, under names of its own.
        REQUIRE(house.filer->file(house.job(2.0)));
        REQUIRE(rows_and_files_agree(house));
        if (!cut) break;
    }
    CHECK(cuts >= 12);
}

TEST_CASE("A clip whose row could not be written is no record: its file is set aside at the next start",
          "[clips]") {
    ClipHouse house;
    {
        // Somebody else writes to the store all the time.
        SQLite::Database other(house.records().string(), SQLite::OPEN_READWRITE);
        other.exec("BEGIN IMMEDIATE");
        CHECK(house.filer->file(house.job()));
        CHECK_FALSE(house.filer->settle());
        CHECK_FALSE(house.filer->state().stopped);
        other.exec("ROLLBACK");
    }
    SECTION("when the run ended before") {
        house.start();
        CHECK(house.clips().empty());
        CHECK(house.names() == std::vector<std::string>{"clips/unrecorded/20260302T130501_234Z_call_1.flac"});
        CHECK(house.was_said("are in no record"));
        // And goes when a clip would.
        house.go_to_day(61.0);
        house.filer->keep_house();
        CHECK(house.names().empty());
    }
    SECTION("and is one as soon as the store takes it") {
        CHECK(house.filer->settle());
        CHECK(house.clips().size() == 1);
        CHECK(rows_and_files_agree(house));
    }
}

TEST_CASE("While the store takes no rows a hundred clips wait for it, and no more are written", "[clips]") {
    ClipHouse house;
    SQLite::Database other(house.records().string(), SQLite::OPEN_READWRITE);
    other.exec("BEGIN IMMEDIATE");
    for (int i = 0; i < 100; ++i) REQUIRE(house.filer->file(house.job(0.001 * i)));
    CHECK_FALSE(house.filer->file(house.job(1.0)));
    CHECK(house.filer->state().stopped);
    CHECK(house.names().size() == 100);
    other.exec("ROLLBACK");
    house.filer->keep_house();
    CHECK_FALSE(house.filer->state().stopped);
    CHECK(house.filer->file(house.job(2.0)));
    CHECK(house.clips().size() == 101);
    CHECK(rows_and_files_agree(house));
}

TEST_CASE("Clips go when they are too old, with a record of it", "[clips]") {
    ClipHouse house;
    for (int day = 0; day < 5; ++day) REQUIRE(house.filer->file(house.job(day)));
    house.go_to_day(60.0);
    house.filer->keep_house();
    CHECK(house.clips().size() == 5);
    house.go_to_day(62.5);
    house.filer->keep_house();
    CHECK(house.clips().size() == 2);
    CHECK(rows_and_files_agree(house));
    const auto all = house.clips(true);
    REQUIRE(all.size() == 5);
    for (std::size_t i = 0; i < 3; ++i) {
        REQUIRE(all[i].deletion);
        CHECK(all[i].deletion->why == DeletedWhy::kAge);
        CHECK(all[i].deletion->utc_ns == house.clock.utc_ns());
    }
}

TEST_CASE("The oldest clips go when all take too much space, and no more of them than must", "[clips]") {
    ClipSettings settings;
    ClipHouse house(settings);
    REQUIRE(house.filer->file(house.job(0.0)));
    const auto bytes = static_cast<double>(house.clips()[0].row.bytes);
    house.settings.keep_mb = 3.5 * bytes * 1e-6;
    house.start();
    for (int day = 1; day < 6; ++day) REQUIRE(house.filer->file(house.job(day)));
    house.go_to_day(6.0);
    house.filer->keep_house();
    const auto clips = house.clips();
    REQUIRE(clips.size() == 3);
    CHECK(clips[0].row.clip_id == 4);
    CHECK(house.clips(true)[0].deletion->why == DeletedWhy::kSpace);
    CHECK(rows_and_files_agree(house));
}

TEST_CASE("A clip that a case holds is never deleted, and goes when it is released", "[clips]") {
    ClipHouse house;
    for (int day = 0; day < 3; ++day) REQUIRE(house.filer->file(house.job(day)));
    house.hold(1);
    house.go_to_day(100.0);
    house.filer->keep_house();
    REQUIRE(house.clips().size() == 1);
    CHECK(house.clips()[0].row.clip_id == 1);
    CHECK(house.clips()[0].held);

    house.settings.keep_mb = 0.0;
    house.start();
    CHECK(house.clips().size() == 1);
    CHECK(house.was_said("cases hold"));
    CHECK(rows_and_files_agree(house));

    house.hold(1, false);
    house.filer->keep_house();
    CHECK(house.clips().empty());
    CHECK(rows_and_files_agree(house));
}

TEST_CASE("A power cut while clips are deleted leaves deletions recorded, and the next start finishes them",
          "[clips]") {
    for (int step = 0; step < 4; ++step) {
        ClipHouse house;
        for (int day = 0; day < 3; ++day) REQUIRE(house.filer->file(house.job(day)));
        house.go_to_day(100.0);
        house.files.cut_power_before(step);
        try {
            house.filer->keep_house();
        } catch (const PowerCut&) {
        }
        CHECK(house.clips().empty());
        house.files.restart();
        house.start();
        CHECK(house.names().empty());
        CHECK(house.clips(true).size() == 3);
    }
}

TEST_CASE("A full disk stops clips, says so, and lets them go on when there is room again", "[clips]") {
    ClipHouse house;
    REQUIRE(house.filer->file(house.job(0.0)));
    SECTION("before it is full: less than the least is free") {
        house.files.set_free_bytes(3'999'000'000);
        CHECK_FALSE(house.filer->file(house.job(1.0)));
        CHECK(house.filer->state().stopped);
        CHECK(house.filer->state().why.find("3999 MB are free") != std::string::npos);
        house.files.set_free_bytes(4'100'000'000); // not enough to begin again
        house.filer->keep_house();
        CHECK(house.filer->state().stopped);
        house.files.set_free_bytes(4'300'000'000);
    }
    SECTION("when the disk refuses, whatever is free") {
        const auto how =
            GENERATE(std::errc::no_space_on_device, std::errc::read_only_file_system, std::errc::io_error);
        const int step = GENERATE(0, 1, 2, 3); // write, sync, rename, sync the folder
        house.files.fail_from(step, how);
        CHECK_FALSE(house.filer->file(house.job(0.1)));
        CHECK_FALSE(house.filer->file(house.job(1.0)));
        CHECK(house.filer->state().stopped);
        CHECK(house.filer->state().why.find("can't be written") != std::string::npos);
        house.files.restart();
        house.start();
    }
    CHECK(house.was_said("no clips are kept"));
    house.filer->keep_house();
    CHECK(house.filer->file(house.job(2.0)));
    CHECK_FALSE(house.filer->state().stopped);
    CHECK(house.clips().size() == 2);
    CHECK(rows_and_files_agree(house));
}

TEST_CASE("The disk that refused is tried again with the next clip", "[clips]") {
    ClipHouse house;
    house.files.fail_from(0, std::errc::no_space_on_device);
    CHECK_FALSE(house.filer->file(house.job(0.0)));
    CHECK(house.filer->state().dropped == 1);
    house.files.restart();
    CHECK(house.filer->file(house.job(1.0)));
    CHECK(house.was_said("clips are kept again"));
    CHECK_FALSE(house.filer->state().stopped);
}

TEST_CASE("A clip of the records that lost its file is said at the start", "[clips]") {
    ClipHouse house;
    REQUIRE(house.filer->file(house.job()));
    house.files.remove("/out/" + house.clips()[0].row.file);
    house.start();
    CHECK(house.was_said("1 clip(s) of the records have no file"));
}

TEST_CASE("What another process deleted counts no more", "[clips]") {
    ClipHouse house;
    for (int day = 0; day < 3; ++day) REQUIRE(house.filer->file(house.job(day)));
    Store store(house.records());
    store.change([](SQLite::Database& database) {
        CHECK(record_deletion(database, {2, kStart_ns, DeletedWhy::kPerson, "Pat", "speech"}) ==
              Deleting::kRecorded);
        CHECK(record_deletion(database, {2, kStart_ns, DeletedWhy::kPerson, "Pat", "speech"}) ==
              Deleting::kDeletedAlready);
        CHECK(record_deletion(database, {9, kStart_ns, DeletedWhy::kPerson, "Pat", "speech"}) ==
              Deleting::kUnknown);
    });
    house.files.remove("/out/clips/2026/03/03/20260303T130501_234Z_call_2.flac");
    house.go_to_day(100.0);
    house.filer->keep_house();
    CHECK(house.clips().empty());
    const auto all = house.clips(true);
    REQUIRE(all.size() == 3);
    CHECK(all[1].deletion->why == DeletedWhy::kPerson);
    CHECK(all[1].deletion->by == "Pat");
    CHECK(all[1].deletion->reason == "speech");
}

TEST_CASE("Clips without a date have a place too", "[clips]") {
    ClipHouse house;
    ClipJob job = house.job();
    job.start_utc_ns.reset();
    REQUIRE(house.filer->file(job));
    CHECK(house.clips()[0].row.file == "clips/undated/call_1.flac");
}
