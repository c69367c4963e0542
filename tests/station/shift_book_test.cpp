#include "daemon/shift_book.h"

#include <SQLiteCpp/Database.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <filesystem>
#include <string>
#include <thread>
#include <vector>

#include "tests/test_folder.h"

using namespace quietpass;

namespace {

// 2026-03-02T13:00:00Z, six in the morning in Denver.
constexpr std::int64_t kSixInDenver_ns = 1'772'456'400'000'000'000;

struct Desk {
    explicit Desk(std::vector<ShiftSettings> shifts) {
        settings.name = "box";
        settings.timezone = "America/Denver";
        settings.microphones.emplace_back().name = "head";
        settings.shifts = std::move(shifts);
        store.emplace(Store(folder / "records.db"));
    }

    StationSettings settings;
    TestFolder folder;
    std::optional<StoreWriter> store; // ends before its folder
    std::vector<ClosedShift> closed;
};

Passage passage_at(std::int64_t id, double entered_s, bool vocal) {
    Passage passage;
    passage.id = id;
    passage.entered_s = entered_s;
    passage.stunned_s = entered_s + 8.0;
    passage.end_s = entered_s + 15.0;
    passage.calls = vocal ? 1 : 0;
    passage.vocal = vocal;
    passage.stuns = 1;
    return passage;
}

StationCall call_in(std::int64_t id, const Passage& passage, double onset_s) {
    StationCall call;
    call.id = id;
    call.microphone = "head";
    call.heard.start_s = onset_s;
    call.heard.end_s = onset_s + 1.0;
    call.passage_id = passage.id;
    call.passage_entered_s = passage.entered_s;
    call.phase = Phase::kHeld;
    call.counted = true;
    return call;
}

} // namespace

TEST_CASE("An animal and its calls belong to the shift in which it entered, even across the border") {
    // Two shifts that touch ten minutes after the start.
    Desk desk({{"first", 360, 370, {}}, {"second", 370, 380, {}}});
    const Schedule schedule(desk.settings.timezone, desk.settings.shifts);
    ShiftBook book(desk.settings, {}, &schedule, *desk.store,
                   [&desk](const ClosedShift& shift) { desk.closed.push_back(shift); });
    const StationUtc utc{.utc_ns_at_zero = kSixInDenver_ns};
    book.begin(0.0, utc);
    book.on_passage(passage_at(1, 100.0, false));
    const Passage across = passage_at(2, 595.0, true);
    book.advance(603.0, 590.0, utc);
    CHECK(desk.closed.empty());
    book.on_call(call_in(1, across, 601.0)); // after the border, of an animal from before it
    book.on_passage(across);
    book.on_passage(passage_at(3, 620.0, false));
    book.advance(640.0, 635.0, utc);
    REQUIRE(desk.closed.size() == 1);
    CHECK(desk.closed[0].record.shift == "first");
    CHECK(desk.closed[0].record.scored == 2);
    CHECK(desk.closed[0].record.vocal == 1);
    CHECK(desk.closed[0].record.end_s == Approx(600.0));
    CHECK(desk.closed[0].calls.size() == 1);

    book.finish(700.0);
    REQUIRE(desk.closed.size() == 2);
    CHECK(desk.closed[1].record.shift == "second");
    CHECK(desk.closed[1].record.scored == 1);
    CHECK(desk.closed[1].record.vocal == 0);
    CHECK(desk.closed[1].record.start_s == Approx(600.0));
}

TEST_CASE("What happens outside the schedule is filed as outside, never lost") {
    Desk desk({{"late", 370, 380, {}}});
    const Schedule schedule(desk.settings.timezone, desk.settings.shifts);
    ShiftBook book(desk.settings, {}, &schedule, *desk.store,
                   [&desk](const ClosedShift& shift) { desk.closed.push_back(shift); });
    const StationUtc utc{.utc_ns_at_zero = kSixInDenver_ns};
    book.begin(0.0, utc);
    book.on_passage(passage_at(1, 100.0, true));
    book.advance(650.0, 650.0, utc);
    book.on_passage(passage_at(2, 640.0, false));
    book.finish(700.0);
    REQUIRE(desk.closed.size() == 2);
    CHECK(desk.closed[0].record.shift == "outside");
    CHECK(desk.closed[0].record.vocal == 1);
    CHECK(desk.closed[1].record.shift == "late");
    CHECK(desk.closed[1].record.scored == 1);
}

TEST_CASE("The store has the same rows as the closed shift") {
    Desk desk({});
    ShiftBook book(desk.settings, {}, nullptr, *desk.store,
                   [&desk](const ClosedShift& shift) { desk.closed.push_back(shift); });
    book.begin(0.0, std::nullopt);
    const Passage vocal = passage_at(1, 10.0, true);
    book.on_call(call_in(1, vocal, 14.0));
    book.on_passage(vocal);
    book.on_gap({"head", 40.0, 50.0, GapCause::kSilent});
    book.on_stop(60.0, 70.0);
    book.on_edge({10.0, Role::kEntered, true});
    book.finish(100.0);
    REQUIRE(desk.closed.size() == 1);
    CHECK(desk.closed[0].record.stopped_s == Approx(10.0));
    REQUIRE(desk.store->flush(std::chrono::seconds(10)));

    const Store reader(desk.folder / "records.db");
    const auto shifts = reader.shifts();
    REQUIRE(shifts.size() == 1);
    CHECK(shifts[0].end_s == 100.0);
    CHECK_FALSE(shifts[0].record_json.empty());
    const auto rows = reader.read_shift(shifts[0].shift_id);
    REQUIRE(rows);
    CHECK(rows->passages.size() == 1);
    CHECK(rows->calls.size() == 1);
    CHECK(rows->gaps.size() == 1);
    CHECK(rows->edges.size() == 1);
}

TEST_CASE("What the store took no more is in no figure, and is a gap as soon as rows are taken again") {
    TestFolder folder;
    StationSettings settings;
    settings.name = "box";
    settings.timezone = "America/Denver";
    settings.microphones.emplace_back().name = "head";
    const std::filesystem::path file = folder / "records.db";
    StoreWriterOptions options;
    options.capacity = 6;
    options.batch_delay = std::chrono::milliseconds(1);
    options.retry_after = std::chrono::milliseconds(1);
    StoreWriter store{Store(file, std::chrono::milliseconds(1)), options};
    std::vector<ClosedShift> closed;
    ShiftBook book(settings, {}, nullptr, store,
                   [&closed](const ClosedShift& shift) { closed.push_back(shift); });
    {
        SQLite::Database other(file.string(), SQLite::OPEN_READWRITE);
        other.exec("BEGIN IMMEDIATE");
        book.begin(0.0, StationUtc{.utc_ns_at_zero = kSixInDenver_ns});
        // The shift and its microphone wait; four more find room.
        for (int i = 1; i <= 8; ++i) book.on_passage(passage_at(i, 20.0 * i, i == 8));
        book.on_call(call_in(1, passage_at(8, 160.0, true), 163.0));
        book.advance(170.0, 170.0, StationUtc{.utc_ns_at_zero = kSixInDenver_ns});
        other.exec("COMMIT");
    }
    const auto give_up = std::chrono::steady_clock::now() + std::chrono::minutes(1);
    while (store.state().waiting > 0 && std::chrono::steady_clock::now() < give_up) std::this_thread::yield();
    book.on_passage(passage_at(9, 200.0, false));
    book.finish(300.0);
    CHECK(store.state().dropped == 6); // four passages, a call, and how far it was heard
    store.flush(std::chrono::minutes(1));
    REQUIRE(closed.size() == 1);
    CHECK(closed[0].passages.size() == 5);
    CHECK(closed[0].calls.empty());
    CHECK(closed[0].record.vocal == 0);
    CHECK(closed[0].record.coverage.time_heard == Approx(0.75));
    const auto rows = Store(file).read_shift(1);
    REQUIRE(rows);
    CHECK(rows->passages.size() == 5);
    REQUIRE(rows->gaps.size() == 1);
    CHECK(rows->gaps[0].source == "records");
    CHECK(rows->gaps[0].cause == GapCause::kNotWritten);
    CHECK(rows->gaps[0].start_s == 100.0);
    CHECK(rows->gaps[0].end_s == 175.0); // of the last passage
    CHECK_FALSE(rows->shift.record_json.empty());
}
