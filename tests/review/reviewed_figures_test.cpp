#include "daemon/review/reviewed_figures.h"

#include <rapidcheck/catch.h>
#include <catch2/catch.hpp>

#include "tests/review/findings.h"

using namespace quietpass;

namespace {

// Twenty scored passages and one that is not. Passage 1 has calls 1 and 2, passage 2 call 3, passage 3 call 4
// and one that never counted (5), passage 21 (excluded) call 6.
struct Shift {
    std::vector<Passage> passages;
    std::vector<StationCall> calls = {call(1, 1), call(2, 1),        call(3, 2),
                                      call(4, 3), call(5, 3, false), call(6, 21)};
    std::vector<Finding> findings;

    Shift() {
        for (int id = 1; id <= 20; ++id) passages.push_back(passage(id));
        passages.push_back(passage(21, "overrun"));
    }

    ReviewedFigures figures() const {
        return reviewed_figures(passages, calls, kShift, reviews_of(findings));
    }
};

} // namespace

TEST_CASE("Without a finding the reviewed share is the machine's") {
    const ReviewedFigures figures = Shift().figures();
    CHECK(figures.scored == 20);
    CHECK(figures.machine.vocal == 3);
    CHECK(figures.reviewed.vocal == 3);
    CHECK(*figures.reviewed.share == Approx(0.15));
    CHECK(figures.counted_calls == 4);
    CHECK(figures.judged == 0);
}

TEST_CASE("An animal is silent by review when every counted call of it was turned down") {
    Shift shift;
    shift.findings = {finding(1, 1, CallVerdict::kNotACall)};
    CHECK(shift.figures().reviewed.vocal == 3); // its second call stands
    shift.findings.push_back(finding(2, 2, CallVerdict::kPerson));
    shift.findings.push_back(finding(3, 3, CallVerdict::kOtherSpecies));
    const ReviewedFigures figures = shift.figures();
    CHECK(figures.machine.vocal == 3);
    CHECK(figures.reviewed.vocal == 1);
    CHECK(figures.turned_silent == std::vector<std::int64_t>{1, 2});
    CHECK(figures.turned_down == 3);
    // Wilson, 95 %: 1/20 and 3/20 (computed by the published formula).
    CHECK(figures.reviewed.interval->low == Approx(0.0089).margin(0.0001));
    CHECK(figures.reviewed.interval->high == Approx(0.2361).margin(0.0001));
    CHECK(figures.machine.interval->low == Approx(0.0524).margin(0.0001));
    CHECK(figures.machine.interval->high == Approx(0.3604).margin(0.0001));
}

TEST_CASE("Who cannot tell leaves the machine's word, counted apart") {
    Shift shift;
    shift.findings = {finding(1, 3, CallVerdict::kCannotTell), finding(2, 4, CallVerdict::kCall)};
    const ReviewedFigures figures = shift.figures();
    CHECK(figures.reviewed.vocal == 3);
    CHECK(figures.judged == 2);
    CHECK(figures.cannot_tell == 1);
    CHECK(figures.confirmed == 1);
}

TEST_CASE("Calls that never counted and animals that were not scored are in no figure of a review") {
    Shift shift;
    shift.findings = {finding(1, 5, CallVerdict::kCall), finding(2, 6, CallVerdict::kNotACall)};
    const ReviewedFigures figures = shift.figures();
    CHECK(figures.machine.vocal == 3);
    CHECK(figures.reviewed.vocal == 3);
    CHECK(figures.judged == 0);
    CHECK(figures.turned_silent.empty());
}

TEST_CASE("Of two findings on a call the later one says, and that people disagreed is told") {
    Shift shift;
    shift.findings = {finding(1, 3, CallVerdict::kNotACall, "A"), finding(2, 3, CallVerdict::kCall, "B")};
    CHECK(shift.figures().reviewed.vocal == 3);
    CHECK(shift.figures().disputed == 1);
    shift.findings.push_back(withdrawal(3, shift.findings[1]));
    CHECK(shift.figures().reviewed.vocal == 2);
    CHECK(shift.figures().disputed == 0);
    CHECK(findings_in_force(shift.findings).size() == 1);
}

TEST_CASE("A shift without a scored passage has no share, and a finding of another shift changes nothing") {
    const ReviewedFigures none = reviewed_figures({passage(1, "line_stopped")}, {call(1, 1)}, kShift, {});
    CHECK_FALSE(none.machine.share);
    CHECK_FALSE(none.reviewed.interval);
    Shift shift;
    shift.findings = {finding(1, 3, CallVerdict::kNotACall)};
    shift.findings[0].shift_id = kShift + 1;
    CHECK(shift.figures().reviewed.vocal == 3);
}

TEST_CASE("Whatever the findings are, the reviewed share is never above the machine's") {
    rc::prop("reviewed <= machine, and the difference is what turned silent", [] {
        Shift shift;
        const auto count = *rc::gen::inRange(0, 12);
        for (int id = 1; id <= count; ++id) {
            Finding made =
                finding(id, *rc::gen::inRange(1, 8), static_cast<CallVerdict>(*rc::gen::inRange(0, 5)));
            if (id > 1 && *rc::gen::inRange(0, 4) == 0) made.withdraws = *rc::gen::inRange(1, id);
            shift.findings.push_back(made);
        }
        const ReviewedFigures figures = shift.figures();
        RC_ASSERT(figures.machine.vocal - figures.reviewed.vocal ==
                  static_cast<std::int64_t>(figures.turned_silent.size()));
        RC_ASSERT(figures.confirmed + figures.turned_down + figures.cannot_tell == figures.judged);
        RC_ASSERT(figures.judged <= figures.counted_calls);
    });
}
