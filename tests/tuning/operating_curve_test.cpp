#include "classifiers/tuning/operating_curve.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "classifiers/tuning/random.h"

using namespace quietpass::tuning;

namespace {

ScoredPassage passage(bool vocal, double score) {
    ScoredPassage out;
    out.vocal = vocal;
    out.score = score;
    return out;
}

} // namespace

TEST_CASE("Precision is what Bayes' rule makes of the two rates at the plant's share") {
    PassageTally counted;
    counted.vocal = 100;
    counted.heard = 90;
    counted.quiet = 1000;
    counted.false_alarms = 4;
    // Of 10,000 passages 300 are vocal: 270 heard; of 9,700 quiet ones 38.8 called.
    CHECK(precision_at(counted, 0.03) == Approx(270.0 / 308.8));
    CHECK(precision_at(PassageTally{}, 0.03) == 1.0);
}

TEST_CASE("The curve has a point a distinct score, with recall that only grows") {
    const std::vector<ScoredPassage> passages = {
        passage(true, 3),  passage(false, 2), passage(true, 2),
        passage(false, 1), passage(true, 0),  passage(true, -std::numeric_limits<double>::infinity())};
    const std::vector<CurvePoint> curve = precision_recall(passages, 0.5);
    REQUIRE(curve.size() == 4);
    CHECK(curve[0].recall == 0.25);
    CHECK(curve[0].precision == 1.0);
    // Two of four vocal, one of two quiet: equal rates at even shares.
    CHECK(curve[1].recall == 0.5);
    CHECK(curve[1].precision == Approx(0.5));
    // The vocal passage without any sound is never found.
    CHECK(curve.back().recall == 0.75);
    CHECK(average_precision(curve) == Approx(0.25 * 1 + 0.25 * 0.5 + 0.25 * (0.75 / 1.75)));
    CHECK(precision_recall({}, 0.03).empty());
}

TEST_CASE("Scores that are the log odds they say lie on the diagonal, those that exaggerate don't") {
    constexpr double kTrained = 0.05;
    Random random(11);
    std::vector<ScoredPassage> honest;
    std::vector<ScoredPassage> boasting;
    for (int i = 0; i < 40000; ++i) {
        const double score = random.between(-4, 6);
        const bool vocal = random.chance(chance_said(score, kTrained, kTrained));
        honest.push_back(passage(vocal, score));
        boasting.push_back(passage(vocal, score + 2));
    }
    double vocal = 0;
    for (const ScoredPassage& one : honest) vocal += one.vocal ? 1 : 0;
    // At their own share of vocal passages the scores mean what they say.
    const double share = vocal / static_cast<double>(honest.size());
    CHECK(calibration_error(reliability(honest, share, share)) < 0.01);
    CHECK(calibration_error(reliability(boasting, share, share)) > 0.05);
}

TEST_CASE("Bands of a reliability table hold every passage with a sound once") {
    std::vector<ScoredPassage> passages;
    for (int i = -50; i <= 80; ++i) passages.push_back(passage(i % 3 == 0, i / 10.0));
    passages.push_back(passage(false, -std::numeric_limits<double>::infinity()));
    int held = 0;
    double weight = 0;
    for (const ReliabilityBand& band : reliability(passages, 0.03, 0.05)) {
        CHECK(band.was >= 0);
        CHECK(band.was <= 1);
        held += band.vocal + band.quiet;
        weight += band.weight;
    }
    CHECK(held == 131);
    CHECK(weight < 1.0);
    CHECK(weight > 0.95);
}
