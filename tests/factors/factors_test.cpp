#include "daemon/factors/factors.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "daemon/factors/trade_list.h"
#include "tests/records/made_store.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

std::vector<PassageFacts> facts_in(MadeStore& made) {
    return facts_of(made.store().read_span({}), Journal(made.store().journal()), {});
}

const FactorRow* row_of(const std::vector<FactorRow>& rows, const std::string& factor,
                        const std::string& level) {
    const auto row = std::find_if(rows.begin(), rows.end(), [&](const FactorRow& one) {
        return one.factor == factor && one.level == level;
    });
    return row == rows.end() ? nullptr : &*row;
}

JournalEntry entry_at(EntryKind kind, std::int64_t at_utc_ns, const std::string& text) {
    JournalEntry entry;
    entry.kind = kind;
    entry.at_utc_ns = at_utc_ns;
    entry.text = text;
    return entry;
}

} // namespace

TEST_CASE("Prodded animals that were vocal more often show as such, with ratio, interval and p") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z");
    made.add_share(10, 100, {.prods = 0});
    made.add_share(30, 100, {.prods = 2});
    made.add(5, {.vocal = true, .prods = 2, .excluded = "silent"}); // not scored: counts nowhere
    const std::vector<FactorRow> rows = factor_rows(facts_in(made), {});
    const FactorRow* prodded = row_of(rows, "prods", "2");
    REQUIRE(prodded);
    CHECK(prodded->group.k == 30);
    CHECK(prodded->group.n == 100);
    CHECK(prodded->rest.k == 10);
    CHECK(prodded->rest.n == 100);
    CHECK(prodded->ratio->value == Approx(3.0));
    CHECK(prodded->ratio->interval.low > 1.5);
    CHECK(prodded->ratio->interval.high < 6.0);
    CHECK(prodded->fisher_p < 0.001);
    CHECK(prodded->interval->low == Approx(.219).margin(.001));
    REQUIRE(row_of(rows, "prods", "0"));
    CHECK(row_of(rows, "prods", "0")->ratio->value == Approx(1.0 / 3.0));
}

TEST_CASE("A thing that was the same for all passages has no rows") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z");
    made.add_share(2, 50);
    CHECK(factor_rows(facts_in(made), {}).empty());
}

TEST_CASE("Bands of hold time have the edges that were set, an edge in the band above") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z");
    for (const double held_for_s : {2.0, 5.0, 9.5, 10.0, 60.0}) made.add(10, {.held_for_s = held_for_s});
    FactorSettings settings;
    settings.hold_edges_s = {5.0, 10.0};
    const std::vector<FactorRow> rows = factor_rows(facts_in(made), settings);
    REQUIRE(row_of(rows, "hold_time", "under 5 s"));
    CHECK(row_of(rows, "hold_time", "under 5 s")->group.n == 10);
    CHECK(row_of(rows, "hold_time", "5 to 10 s")->group.n == 20);
    CHECK(row_of(rows, "hold_time", "10 s or more")->group.n == 20);
}

TEST_CASE("Second stuns, hours of the shift, lots, line rates and notes are factors") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z", 60.0);
    made.add_share(3, 60, {.stuns = 1});
    made.pause(60.0);
    made.add_share(9, 60, {.stuns = 2});
    made.shift("2026-03-03T13:00:00Z", 20.0);
    made.add_share(3, 60);
    Store& store = made.store();
    store.add(entry_at(EntryKind::kLot, *utc_from_text("2026-03-02T13:00:00Z"), "north"));
    store.add(entry_at(EntryKind::kLot, *utc_from_text("2026-03-02T14:01:30Z"), "south"));
    store.add(entry_at(EntryKind::kNote, *utc_from_text("2026-03-03T13:00:00Z"), "rain"));
    const std::vector<FactorRow> rows = factor_rows(facts_in(made), {});
    REQUIRE(row_of(rows, "second_stun", "yes"));
    CHECK(row_of(rows, "second_stun", "yes")->group.k == 9);
    REQUIRE(row_of(rows, "hour_of_shift", "2"));
    CHECK(row_of(rows, "hour_of_shift", "2")->group.n == 59); // minutes 60 and 62 to 119
    REQUIRE(row_of(rows, "hour_of_shift", "3"));
    REQUIRE(row_of(rows, "lot", "north"));
    CHECK(row_of(rows, "lot", "north")->group.n == 60);
    CHECK(row_of(rows, "lot", "south")->group.n == 120);
    REQUIRE(row_of(rows, "line_rate", "50 to 75/h"));
    CHECK(row_of(rows, "line_rate", "150 to 200/h")->group.n +
              row_of(rows, "line_rate", "50 to 75/h")->group.n ==
          170); // the first five of both shifts have no rate
    const FactorRow* rain = row_of(rows, "note", "rain");
    REQUIRE(rain);
    CHECK(rain->group.n == 60);
    CHECK(rain->rest.n == 120);
    CHECK(rain->rest.k == 12);
}

TEST_CASE("With a phase only its calls make an animal vocal, and phases count an animal in each of its own") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z");
    made.add_share(10, 100, {.phase = Phase::kEntry, .prods = 1});
    made.add_share(20, 100, {.phase = Phase::kHeld, .prods = 0});
    FactorSettings held;
    held.phase = Phase::kHeld;
    const std::vector<FactorRow> rows = factor_rows(facts_in(made), held);
    CHECK(row_of(rows, "prods", "1")->group.k == 0);
    CHECK(row_of(rows, "prods", "0")->group.k == 20);

    const std::vector<PhaseRow> phases = phase_rows(facts_in(made), {});
    REQUIRE(phases.size() == 3); // these animals had no `body_held`
    CHECK(phases[0].phase == Phase::kEntry);
    CHECK(phases[0].vocal.k == 10);
    CHECK(phases[0].vocal.n == 200);
    CHECK(phases[1].phase == Phase::kHeld);
    CHECK(phases[1].vocal.k == 20);
    CHECK(phases[2].vocal.k == 0);
}

TEST_CASE("Each phase has a list of where the trade looks") {
    for (const Phase phase : kCountedPhases) CHECK_FALSE(trade_looks_at(phase).empty());
}
