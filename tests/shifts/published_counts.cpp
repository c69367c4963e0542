// Published counts and intervals, with their sources; the tally and the interval must give the same figures.
#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "classifiers/evaluation/wilson.h"
#include "daemon/shifts/tally.h"

using namespace quietpass;

namespace {

// A station's shift in which `vocal` of `animals` cried out while entering, 30 s apart.
ShiftRecord shift_of(std::int64_t vocal, std::int64_t animals, double limit_percent) {
    StationSettings settings;
    settings.scoring.limit_percent = limit_percent;
    Tally tally(settings);
    for (std::int64_t id = 1; id <= animals; ++id) {
        Passage passage;
        passage.id = id;
        passage.entered_s = 30.0 * static_cast<double>(id);
        passage.end_s = passage.entered_s + 20.0;
        passage.vocal = id <= vocal;
        passage.calls = passage.vocal ? 1 : 0;
        tally.add(passage);
    }
    return tally.record(0.0, 30.0 * static_cast<double>(animals + 1));
}

double rounded(double value, int decimals) {
    const double scale = std::pow(10.0, decimals);
    return std::round(value * scale) / scale;
}

} // namespace

TEST_CASE("Wilson 95 % intervals equal those that Newcombe published") {
    // R. G. Newcombe, Stat. Med. 17 (1998) 857, table I, method 3.
    struct Row {
        std::int64_t k, n;
        double low, high;
    };
    for (const Row row : {Row{81, 263, 0.2553, 0.3662}, Row{15, 148, 0.0624, 0.1605}, Row{0, 20, 0.0, 0.1611},
                          Row{1, 29, 0.0061, 0.1718}, Row{29, 29, 0.8830, 1.0}}) {
        INFO(row.k << " of " << row.n);
        const auto interval = wilson_interval(row.k, row.n);
        REQUIRE(interval);
        CHECK(rounded(interval->low, 4) == Approx(row.low).margin(1e-9));
        CHECK(rounded(interval->high, 4) == Approx(row.high).margin(1e-9));
    }
}

TEST_CASE("An audit of a hundred animals has the intervals computed from the definition") {
    // Computed from the definition (Wilson 1927), in percent, one decimal.
    struct Row {
        std::int64_t vocal;
        double low, high;
    };
    for (const Row row : {Row{0, 0.0, 3.7}, Row{1, 0.2, 5.4}, Row{3, 1.0, 8.5}, Row{4, 1.6, 9.8},
                          Row{5, 2.2, 11.2}, Row{6, 2.8, 12.5}}) {
        INFO(row.vocal << " of 100");
        const ShiftRecord record = shift_of(row.vocal, 100, 5.0);
        CHECK(*record.percent == Approx(static_cast<double>(row.vocal)));
        CHECK(rounded(*record.percent_low, 1) == Approx(row.low).margin(1e-9));
        CHECK(rounded(*record.percent_high, 1) == Approx(row.high).margin(1e-9));
    }
}

TEST_CASE("112 vocal of 1,125 cattle is 9.96 %, 8.3 to 11.8") {
    // Counts: Appl. Anim. Behav. Sci. 56 (1998) 121, six plants. The interval is computed from the
    // definition.
    const ShiftRecord record = shift_of(112, 1125, 3.0);
    CHECK(record.scored == 1125);
    CHECK(record.vocal == 112);
    CHECK(rounded(*record.percent, 2) == Approx(9.96));
    CHECK(rounded(*record.percent_low, 1) == Approx(8.3));
    CHECK(rounded(*record.percent_high, 1) == Approx(11.8));
    CHECK(record.verdict == Verdict::kOverLimit);
    CHECK(record.interval_contains_limit == false);
}

TEST_CASE("Published vocal shares of the branding study come out of the tally") {
    // 1999 study of calves at branding: vocal 58 of 95 branded, 7 of 94 sham. Shares computed from the
    // counts.
    CHECK(rounded(*shift_of(58, 95, 5.0).percent, 1) == Approx(61.1));
    CHECK(rounded(*shift_of(7, 94, 5.0).percent, 1) == Approx(7.4));
}
