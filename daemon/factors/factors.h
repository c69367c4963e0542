// What goes with the calls: for each thing that was known of a passage, how often the animals with it were
// vocal and how often the rest.
//
// Only scored passages count; one of which a thing is not known (no hold time, no lot) is in no row of it.
// "The rest" are the passages with another value of the same thing. A row says what goes together, never
// what causes what. Binomial figures take animals as independent, which those of one lot are not. Shares are
// fractions. Pure; any thread.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "classifiers/statistics/risk_ratio.h"
#include "daemon/factors/passage_facts.h"

namespace quietpass {

// Where bands begin and end; a value at an edge is in the band above. Common practice, no source; the first
// hold bands lie around one operator's comparison of 1992 (entry to stun 5.6 s free, 34.2 s held).
struct FactorSettings {
    std::vector<double> hold_edges_s = {5.0, 10.0, 20.0, 40.0};
    std::vector<double> rate_edges_per_hour = {50.0, 75.0, 100.0, 150.0, 200.0};
    // Quieter noises don't count; none: all that were heard. dB as of calls.
    std::optional<double> least_bang_db;
    std::optional<double> least_hiss_db;
    std::optional<Phase> phase; // only calls of this phase make an animal vocal; none: any counted call
    double confidence = kUsualConfidence;
};

// Passages vocal in a phase, of all scored. One that was vocal in two phases is in both.
struct PhaseRow {
    Phase phase = Phase::kEntry;
    evaluation::Rate vocal;
    std::optional<Interval> interval;
};

struct FactorRow {
    // hold_time, prods, second_stun, bangs_held, line_rate, hour_of_shift, lot, note; of noise_rows.h
    // bang_before, hiss_before
    std::string factor;
    std::string level;             // "10 to 20 s", "2", "yes", a lot's name …
    std::string unit = "passages"; // of noise_rows.h: seconds, of which calls began in
    evaluation::Rate group;
    std::optional<Interval> interval;
    evaluation::Rate rest;
    std::optional<statistics::RiskRatio> ratio;
    double fisher_p = 1.0;
};

// Phases that a passage reached: a station without a `held` contact has no row of it.
std::vector<PhaseRow> phase_rows(std::span<const PassageFacts> facts, const FactorSettings& settings);

// Factors in the order above, levels rising; a factor with one value only has no rows.
std::vector<FactorRow> factor_rows(std::span<const PassageFacts> facts, const FactorSettings& settings);

} // namespace quietpass
