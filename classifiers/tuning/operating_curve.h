// How well scores tell vocal passages from quiet ones, at the share of vocal passages that a plant has.
//
// Simulated shifts hold far more vocal passages than a plant does; so vocal and quiet ones are counted apart
// and weighted: precision = share·sensitivity / (share·sensitivity + (1 − share)·false-alarm rate), by Bayes'
// rule. Pure; any thread.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "classifiers/tuning/passage_tally.h"

namespace quietpass::tuning {

// Nothing judged vocal: 1.
double precision_at(const PassageTally& counted, double vocal_share);

struct CurvePoint {
    double cut = 0.0;
    double recall = 0.0;    // = sensitivity
    double precision = 0.0; // at the share asked for
};

// One point a distinct score, from the highest cut to the lowest; passages in which nothing was found (−∞)
// give none. Empty without vocal passages.
std::vector<CurvePoint> precision_recall(std::span<const ScoredPassage> passages, double vocal_share);

// Area under the curve by steps (average precision), 0 … 1.
double average_precision(std::span<const CurvePoint> curve);

// Passages whose score lies in [low, high).
struct ReliabilityBand {
    double low = 0.0;
    double high = 0.0;
    int vocal = 0;
    int quiet = 0;
    double said = 0.0;   // mean chance of a call that the scores stand for, at the vocal share
    double was = 0.0;    // vocal ones among them, weighted to the vocal share
    double weight = 0.0; // of all passages at the vocal share, those in the band
};

// Scores as log odds trained with `trained_share` of the weight on calls; read at a plant's share they stand
// for a chance of 1 / (1 + exp(−(score + logit(vocal_share) − logit(trained_share)))).
double chance_said(double score, double vocal_share, double trained_share);

// Bands of whole points: under −3, −3 … −2, …, 5 and over; empty ones are left out. Passages in which nothing
// was found are in none.
std::vector<ReliabilityBand> reliability(std::span<const ScoredPassage> passages, double vocal_share,
                                         double trained_share);

// Mean distance of said and was over the bands, each by its weight.
double calibration_error(std::span<const ReliabilityBand> bands);

} // namespace quietpass::tuning
