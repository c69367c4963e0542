#include "daemon/factors/lot_figures.h"

#include <catch2/catch.hpp>

#include "tests/records/made_store.h"
#include "tests/test_folder.h"

using namespace quietpass;

TEST_CASE("Lots have their own shares, and together an interval wider than that of independent animals") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z", 10.0);
    made.add(7); // before any lot
    const auto begin_lot = [&](const std::string& name, double time_s) {
        JournalEntry entry;
        entry.kind = EntryKind::kLot;
        entry.at_utc_ns = made.utc_ns(time_s);
        entry.text = name;
        made.store().add(entry);
    };
    begin_lot("north", 75.0);
    made.add_share(2, 100);
    begin_lot("south", 1075.0);
    made.add_share(5, 100);
    begin_lot("east", 2075.0);
    made.add_share(20, 100);
    made.add(3, {.vocal = true, .excluded = "overrun"});

    const LotFigures figures =
        lot_figures(facts_of(made.store().read_span({}), Journal(made.store().journal()), {}));
    REQUIRE(figures.lots.size() == 3);
    CHECK(figures.lots[0].lot == "north");
    CHECK(figures.lots[0].vocal.k == 2);
    CHECK(figures.lots[0].vocal.n == 100);
    CHECK(figures.lots[0].first_utc_ns == made.utc_ns(80.0));
    CHECK(figures.lots[2].vocal.k == 20);
    CHECK(figures.all.k == 27);
    CHECK(figures.without_lot == 7);
    REQUIRE(figures.allowing_for_lots);
    CHECK(figures.allowing_for_lots->design_effect > 10.0);
    CHECK(figures.allowing_for_lots->interval.high > figures.plain->high + .2);
}
