#include "classifiers/tuning/operating_curve.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quietpass::tuning {
namespace {

double logit(double share) {
    return std::log(share / (1 - share));
}

PassageTally totals(std::span<const ScoredPassage> passages) {
    PassageTally all;
    for (const ScoredPassage& passage : passages) ++(passage.vocal ? all.vocal : all.quiet);
    return all;
}

} // namespace

double precision_at(const PassageTally& counted, double vocal_share) {
    const double hits = vocal_share * counted.sensitivity();
    const double false_alarms = (1 - vocal_share) * counted.false_alarm_rate();
    return hits + false_alarms > 0 ? hits / (hits + false_alarms) : 1.0;
}

std::vector<CurvePoint> precision_recall(std::span<const ScoredPassage> passages, double vocal_share) {
    PassageTally counted = totals(passages);
    if (counted.vocal == 0) return {};
    std::vector<const ScoredPassage*> order;
    for (const ScoredPassage& passage : passages) {
        if (std::isfinite(passage.score)) order.push_back(&passage);
    }
    std::stable_sort(order.begin(), order.end(),
                     [](const ScoredPassage* a, const ScoredPassage* b) { return a->score > b->score; });
    std::vector<CurvePoint> curve;
    for (std::size_t i = 0; i < order.size(); ++i) {
        ++(order[i]->vocal ? counted.heard : counted.false_alarms);
        if (i + 1 < order.size() && order[i + 1]->score == order[i]->score) continue;
        curve.push_back({order[i]->score, counted.sensitivity(), precision_at(counted, vocal_share)});
    }
    return curve;
}

double average_precision(std::span<const CurvePoint> curve) {
    double area = 0.0;
    double before = 0.0;
    for (const CurvePoint& point : curve) {
        area += (point.recall - before) * point.precision;
        before = point.recall;
    }
    return area;
}

double chance_said(double score, double vocal_share, double trained_share) {
    return 1 / (1 + std::exp(-(score + logit(vocal_share) - logit(trained_share))));
}

std::vector<ReliabilityBand> reliability(std::span<const ScoredPassage> passages, double vocal_share,
                                         double trained_share) {
    constexpr double kEnd = std::numeric_limits<double>::infinity();
    constexpr int kLowest = -3;
    constexpr int kHighest = 5;
    std::vector<ReliabilityBand> bands;
    bands.push_back({-kEnd, kLowest});
    for (int from = kLowest; from < kHighest; ++from)
        bands.push_back({static_cast<double>(from), from + 1.0});
    bands.push_back({kHighest, kEnd});

    const PassageTally all = totals(passages);
    const double vocal_weight = all.vocal > 0 ? vocal_share / all.vocal : 0.0;
    const double quiet_weight = all.quiet > 0 ? (1 - vocal_share) / all.quiet : 0.0;
    for (const ScoredPassage& passage : passages) {
        if (!std::isfinite(passage.score)) continue;
        const auto band = std::find_if(bands.begin(), bands.end(), [&](const ReliabilityBand& one) {
            return passage.score >= one.low && passage.score < one.high;
        });
        const double weight = passage.vocal ? vocal_weight : quiet_weight;
        ++(passage.vocal ? band->vocal : band->quiet);
        band->weight += weight;
        band->was += passage.vocal ? weight : 0.0;
        band->said += weight * chance_said(passage.score, vocal_share, trained_share);
    }
    std::erase_if(bands, [](const ReliabilityBand& band) { return band.weight <= 0; });
    for (ReliabilityBand& band : bands) {
        band.was /= band.weight;
        band.said /= band.weight;
    }
    return bands;
}

double calibration_error(std::span<const ReliabilityBand> bands) {
    double sum = 0.0;
    double weight = 0.0;
    for (const ReliabilityBand& band : bands) {
        sum += band.weight * std::abs(band.said - band.was);
        weight += band.weight;
    }
    return weight > 0 ? sum / weight : 0.0;
}

} // namespace quietpass::tuning
