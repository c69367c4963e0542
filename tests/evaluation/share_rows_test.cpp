#include "classifiers/evaluation/share_rows.h"

#include <catch2/catch.hpp>

using namespace quietpass::evaluation;

namespace {

void add(std::vector<JudgedPassage>& to, const std::string& shift, int count, bool vocal, bool called) {
    for (int i = 0; i < count; ++i) {
        JudgedPassage passage;
        passage.shift = shift;
        passage.vocal = vocal;
        passage.called = called;
        if (vocal) passage.snr_db = 5.0;
        to.push_back(passage);
    }
}

// 100 passages, 10 vocal, 8 of them heard, 3 false: 11 % in place of 10 %.
std::vector<JudgedPassage> shift_of_100(const std::string& name) {
    std::vector<JudgedPassage> passages;
    add(passages, name, 8, true, true);
    add(passages, name, 2, true, false);
    add(passages, name, 3, false, true);
    add(passages, name, 87, false, false);
    return passages;
}

} // namespace

TEST_CASE("The error of a shift's percentage is in points, and none of it hides in the interval") {
    const auto rows = share_rows(shift_of_100("a"), std::nullopt);
    REQUIRE(rows.size() == 1);
    CHECK(*rows[0].true_share() == Approx(.10));
    CHECK(*rows[0].error_points() == Approx(1.0));
    CHECK(rows[0].inside());
    CHECK(rows[0].level == 5);
}

TEST_CASE("A shift is never corrected by its own rates") {
    const auto alone = share_rows(shift_of_100("a"), std::nullopt);
    CHECK_FALSE(alone[0].corrected);

    auto two = shift_of_100("a");
    add(two, "b", 40, true, true); // the other shift: sensitivity 40/50, specificity 95/100
    add(two, "b", 10, true, false);
    add(two, "b", 5, false, true);
    add(two, "b", 95, false, false);
    const auto rows = share_rows(two, std::nullopt);
    REQUIRE(rows.size() == 3);
    CHECK(rows[0].corrected->share == Approx((.11 + .95 - 1) / (.8 + .95 - 1)));
    CHECK(rows[2].shift.empty());
    CHECK_FALSE(rows[2].corrected);
}

TEST_CASE("Rates from elsewhere correct all shifts together, those of the same level first") {
    auto two = shift_of_100("a");
    const auto more = shift_of_100("b");
    two.insert(two.end(), more.begin(), more.end());
    KnownRates known;
    known.all = {{1, 2}, {99, 100}};
    known.by_level[5] = {{80, 100}, {95, 100}};
    const auto rows = share_rows(two, known);
    CHECK(rows.at(2).corrected->share == Approx((.11 + .95 - 1) / (.8 + .95 - 1)));
    known.by_level.clear();
    CHECK(share_rows(two, known).at(2).corrected->share == Approx((.11 + .99 - 1) / (.5 + .99 - 1)));
}
