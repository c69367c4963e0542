#include "classifiers/tuning/profile_contrast.h"

#include <catch2/catch.hpp>

using namespace quietpass;
using namespace quietpass::tuning;

namespace {

HeardCall call(double start_s, double end_s, CallKind kind = CallKind::kSqueal) {
    HeardCall out;
    out.start_s = start_s;
    out.end_s = end_s;
    out.kind = kind;
    return out;
}

} // namespace

TEST_CASE("Calls that overlap are the same call, others are one profile's own") {
    const std::vector<HeardCall> first = {call(1, 2), call(5, 6)};
    const std::vector<HeardCall> second = {call(1.5, 2.5), call(8, 9), call(11, 12)};
    const Contrast both = contrast(first, second);
    CHECK(both.both == 1);
    REQUIRE(both.only_first.size() == 1);
    CHECK(both.only_first[0].start_s == 5);
    CHECK(both.only_second.size() == 2);
}

TEST_CASE("A squeal that the other profile takes for a grunt is a difference, a grunt alone is none") {
    const std::vector<HeardCall> first = {call(1, 2), call(5, 6, CallKind::kGrunt)};
    const std::vector<HeardCall> second = {call(1, 2, CallKind::kGrunt)};
    const Contrast both = contrast(first, second);
    CHECK(both.both == 0);
    CHECK(both.only_first.size() == 1);
    CHECK(both.only_second.empty());
}

TEST_CASE("Figures count labelled calls found, other sounds called, and calls where nothing is labelled") {
    const std::vector<Span> known = {{1, 2, SpanLabel::kCall},    {3, 4, SpanLabel::kCall},
                                     {5, 6, SpanLabel::kOther},   {7, 8, SpanLabel::kGrunt},
                                     {9, 10, SpanLabel::kIgnore}, {11, 12, SpanLabel::kOther}};
    KnownFigures figures;
    count_known(known, "speech",
                std::vector<HeardCall>{call(1.2, 1.8), call(3.9, 4.9), call(5, 6), call(7.2, 7.8),
                                       call(9, 10), call(20, 21), call(11, 12, CallKind::kGrunt)},
                figures);
    CHECK(figures.calls == 2);
    CHECK(figures.found == 1);
    CHECK(figures.others == 3);
    CHECK(figures.others_called == 2);
    CHECK(figures.called_by == std::map<std::string, int>{{"speech", 1}, {"grunt", 1}});
    // 3.9 s to 4.9 s lies mostly beside its span; 20 s to 21 s in none.
    CHECK(figures.unknown == 2);
}
