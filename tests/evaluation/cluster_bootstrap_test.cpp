#include "classifiers/evaluation/cluster_bootstrap.h"

#include <catch2/catch.hpp>
#include <vector>

#include "classifiers/evaluation/f1_interval.h"
#include "classifiers/evaluation/figures.h"

using namespace quietpass;
using namespace quietpass::evaluation;

namespace {

// 20 recordings with ten calls each, three in four of them heard; 200 quiet passages, every 50th false.
std::vector<Judged> whole_recordings_or_single_calls(bool whole) {
    std::vector<Judged> judged;
    for (int recording = 0; recording < 20; ++recording) {
        for (int call = 0; call < 10; ++call) {
            const bool heard = whole ? recording % 4 != 0 : call % 4 != 0;
            judged.push_back({true, heard, "recording " + std::to_string(recording)});
        }
    }
    for (int i = 0; i < 200; ++i) judged.push_back({false, i % 50 == 0, ""});
    return judged;
}

double width(const Interval& interval) {
    return interval.high - interval.low;
}

} // namespace

TEST_CASE("The same seed gives the same interval, another seed nearly the same") {
    const auto judged = whole_recordings_or_single_calls(true);
    const auto once = figures_of(judged).by_cluster;
    const auto again = figures_of(judged).by_cluster;
    const auto other = figures_of(judged, {.seed = 2}).by_cluster;
    CHECK(once.f1->low == again.f1->low);
    CHECK(once.kappa->high == again.kappa->high);
    CHECK(once.f1->low != other.f1->low);
    CHECK(once.f1->low == Approx(other.f1->low).margin(.02));
}

TEST_CASE("Recordings heard or missed as a whole widen the interval, which F* can't see") {
    const Figures whole = figures_of(whole_recordings_or_single_calls(true));
    const Figures single = figures_of(whole_recordings_or_single_calls(false));
    CHECK(width(*whole.by_cluster.f1) > 2 * width(*single.by_cluster.f1));
    CHECK(width(*whole.by_cluster.f1) > 1.5 * width(*whole.f1));
    CHECK(whole.by_cluster.f1->low < *whole.counts.f1());
    CHECK(*whole.counts.f1() < whole.by_cluster.f1->high);
}

TEST_CASE("One recording alone says nothing about others") {
    const std::vector<Confusion> one = {{8, 2, 0, 0}, {0, 0, 0, 30}};
    CHECK_FALSE(cluster_bootstrap(one).f1);
}
