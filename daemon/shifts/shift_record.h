// The figures of one shift, as shift.json and the reports state them. Plain values; safe to copy.
//
// Shares are fractions 0 … 1, percentages 0 … 100, times station seconds, UTC in nanoseconds since 1970.
// Nothing is rounded here. A figure that could not be measured is empty, never 0.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "classifiers/species.h"
#include "daemon/passages/passage.h"
#include "daemon/settings/level_reference.h"

namespace quietpass {

enum class Verdict { kWithinLimit, kOverLimit, kNotScored };

std::string_view name_of(Verdict verdict); // "within_limit", "over_limit", "not_scored"

// Of scored passages only. A passage that cried out in two phases is vocal in both, so the sum over phases
// may exceed the shift's vocal passages.
struct PhaseCount {
    std::int64_t vocal_passages = 0;
    std::int64_t counted_calls = 0;
};

// Seconds from one contact to another, over the animals where both were seen. Quantiles interpolate linearly
// between order statistics (Hyndman and Fan 1996, type 7).
struct Durations {
    std::int64_t n = 0;
    std::optional<double> median;
    std::optional<double> p95;
    std::optional<double> max;
};

// Of the animals that were stunned, those that were once. Where two stuns are usual (head, then heart), the
// share says nothing of the first.
struct StunnedOnce {
    std::int64_t stunned = 0;
    std::int64_t once = 0;
    std::optional<double> percent;
    std::optional<double> percent_low; // Wilson
    std::optional<double> percent_high;
};

// Pigs: of the scored passages with a stun, those with a squeal at it. Where the stun is electrical, the
// animal felt the electrode before it was stunned, or the stun failed.
struct SquealsAtStun {
    std::int64_t stunned = 0;
    std::int64_t squealed = 0;
    std::optional<double> percent;
    std::optional<double> percent_low; // Wilson
    std::optional<double> percent_high;
    double limit_percent = 0.0;
    std::string basis;
    Verdict verdict = Verdict::kNotScored;
};

// Bangs of animals in the holder, before the stun, that are not the equipment's.
struct HolderBangs {
    std::int64_t held = 0;      // animals whose hold was seen and heard
    std::int64_t with_bang = 0; // of these, with one bang or more
    std::int64_t bangs = 0;
};

struct CoverageShares {
    std::optional<double> passages;   // share of the animals' passages that were covered
    std::optional<double> time_heard; // share of running time without a gap of any microphone
    std::optional<double>
        contacts_known; // share of the time that was not stopped in which the contacts answered
};

// What a microphone's levels refer to, and how long it could not be trusted.
struct MicrophoneRecord {
    std::string name;
    std::optional<LevelReference> reference;   // none: its levels are dB re full scale
    std::map<std::string, double> not_heard_s; // by cause of the gap; causes may overlap
};

struct ShiftRecord {
    std::string station;
    Species species = Species::kCattle;
    std::string timezone;
    std::string shift; // its name in the schedule
    double start_s = 0.0;
    double end_s = 0.0;
    std::optional<std::int64_t> start_utc_ns; // empty when files without a date were scored
    std::optional<std::int64_t> end_utc_ns;

    // "end": it ran to its end or to an orderly stop; "killed": made afterwards from what a killed run
    // stored.
    std::string ended_by = "end";

    std::int64_t passages = 0; // scored + all excluded
    std::int64_t scored = 0;
    std::int64_t vocal = 0; // of the scored
    std::optional<double> percent;
    std::optional<double> percent_low;
    std::optional<double> percent_high;
    double confidence = 0.0;
    std::map<std::string, std::int64_t> excluded; // passages by reason
    std::array<PhaseCount, 5> by_phase{}; // by Phase; after_stun stays 0, it never enters the percentage

    double running_s = 0.0;                   // the shift less stops and less the time contacts were lost
    double stopped_s = 0.0;                   // line stopped
    std::optional<double> line_rate_per_hour; // animals per hour of running time
    Durations held_for_s;                     // from the head's hold to the stun
    Durations body_held_for_s;                // from the body's
    Durations to_stun_s;                      // from the entry
    Durations restrained_for_s;               // from the entry to the release
    std::int64_t stunned_twice = 0;           // passages with a second stun
    std::optional<StunnedOnce> stunned_once;  // empty on a station with `cut`
    HolderBangs holder_bangs;
    std::int64_t calls_after_stun = 0; // all passages, covered or not: each may be a sign of sensibility
    std::optional<std::int64_t> calls_at_stun;    // pigs only, all passages
    std::optional<SquealsAtStun> squeals_at_stun; // pigs only, not with `cut`

    // Whether calls of waiting animals were told apart, in words for people and machines.
    std::string whose_told_by;                 // "nothing", "level", "level_and_delay"
    std::string whose_note;                    // one line
    std::optional<std::int64_t> waiting_calls; // told to be waiting animals'; empty where nothing tells

    double limit_percent = 0.0;
    std::string basis;
    Verdict verdict = Verdict::kNotScored;
    std::optional<bool> interval_contains_limit; // true: the count is too small to be sure of the verdict
    std::string not_scored_because;              // empty where there is a percentage
    CoverageShares coverage;
    std::vector<MicrophoneRecord> microphones; // in the station file's order

    std::map<std::string, std::string> versions; // "quietpass" → "0.1.0", …
    std::map<std::string, std::string> hashes;   // "profile", "configuration", "audio:NAME" → SHA-256

    const PhaseCount& in(Phase phase) const { return by_phase.at(static_cast<std::size_t>(phase)); }
};

} // namespace quietpass
