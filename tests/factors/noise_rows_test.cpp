#include "daemon/factors/noise_rows.h"

#include <catch2/catch.hpp>

#include "tests/records/made_store.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

std::vector<PassageFacts> all_facts_in(MadeStore& made) {
    return facts_of(made.store().read_span({}), Journal(made.store().journal()), {});
}

} // namespace

TEST_CASE("Calls that begin in the second after a bang are set against all other seconds to the stun") {
    // Each animal is 12 s from entry to stun and calls, where it does, 1 s after its entry.
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z");
    made.add(6, {.vocal = true, .bang_after_s = 0.5});
    made.add(14, {.bang_after_s = 5.0});
    made.add(4, {.vocal = true, .bang_after_s = 1.5}); // after the call: not before it
    made.add(76, {});
    made.add(9, {.vocal = true, .excluded = "silent", .bang_after_s = 0.5});
    const std::vector<FactorRow> rows = noise_rows(all_facts_in(made), {});
    REQUIRE(rows.size() == 1); // no hiss was heard
    CHECK(rows[0].factor == "bang_before");
    CHECK(rows[0].level == "any");
    CHECK(rows[0].unit == "seconds");
    CHECK(rows[0].group.k == 6);
    CHECK(rows[0].group.n == 24);
    CHECK(rows[0].rest.k == 4);
    CHECK(rows[0].rest.n == 1176);
    CHECK(rows[0].ratio->value == Approx(6.0 / 24 / (4.0 / 1176)));
    CHECK(rows[0].ratio->interval.low > 20.0);
    CHECK(rows[0].fisher_p < 1e-6);
}

TEST_CASE(
    "Bangs close together are one stretch, cut at the passage's ends, and quieter ones can be left out") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z");
    made.add(10, {.bang_after_s = 11.5, .bang_db = -20.0}); // half a second before the stun
    made.add(10, {.vocal = true, .bang_after_s = 0.5, .bang_db = -50.0});
    std::vector<PassageFacts> facts = all_facts_in(made);
    CHECK(noise_rows(facts, {})[0].group.n == 15); // 10 of half a second, 10 of one
    FactorSettings loud;
    loud.least_bang_db = -30.0;
    const FactorRow row = noise_rows(facts, loud)[0];
    CHECK(row.level == "-30 dB or more");
    CHECK(row.group.k == 0);
    CHECK(row.group.n == 5);
    CHECK(row.rest.k == 10);
    loud.least_bang_db = 0.0;
    CHECK(noise_rows(facts, loud).empty());

    SpanNoise again = facts[10].row.noises.at(0);
    again.time_s += 0.4;
    again.end_s += 0.4;
    facts[10].row.noises.push_back(again);
    CHECK(noise_rows({&facts[10], 1}, {})[0].group.n == 1); // 1.4 s together, not 2
}

TEST_CASE("A hiss counts as long as it lasts and a second longer") {
    PassageFacts passage;
    passage.row.passage.entered_s = 100.0;
    passage.row.passage.stunned_s = 120.0;
    passage.row.passage.end_s = 130.0;
    passage.row.noises = {{104.0, 108.0, true, -40.0}};
    passage.row.calls = {{108.5, Phase::kHeld}, {109.5, Phase::kHeld}};
    const std::vector<FactorRow> rows = noise_rows({&passage, 1}, {});
    REQUIRE(rows.size() == 1);
    CHECK(rows[0].factor == "hiss_before");
    CHECK(rows[0].group.k == 1);
    CHECK(rows[0].group.n == 5);
    CHECK(rows[0].rest.k == 1);
    CHECK(rows[0].rest.n == 15);
}

TEST_CASE("Bangs while held are a factor of passages") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z");
    made.add_share(2, 20, {.bangs = 0});
    made.add_share(8, 20, {.bangs = 4});
    made.add(5); // nobody knows
    std::int64_t seen = 0;
    for (const FactorRow& row : factor_rows(all_facts_in(made), {})) {
        if (row.factor != "bangs_held") continue;
        ++seen;
        CHECK(row.group.n == 20);
        CHECK(row.rest.n == 20);
        CHECK(row.group.k == (row.level == "0" ? 2 : 8));
    }
    CHECK(seen == 2);
}
