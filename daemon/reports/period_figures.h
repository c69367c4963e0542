// The figures of one shift, or of several pooled, as a report states them. Plain values.
//
// Everything is rounded here and nowhere later, so that paper, CSV and JSON can't differ: percentages and
// risk ratios to two decimals, seconds and rates to one. Percentages are 0 … 100. What could not be measured
// is empty, never 0.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>

#include "daemon/shifts/shift_record.h"

namespace quietpass {

inline constexpr int kPercentDecimals = 2;
inline constexpr int kRatioDecimals = 2;
inline constexpr int kSecondsDecimals = 1;
inline constexpr int kRateDecimals = 1;

double rounded(double value, int decimals); // infinity stays
std::optional<double> rounded(const std::optional<double>& value, int decimals);

// k of n with the Wilson interval of 95 %.
struct CountedShare {
    std::int64_t k = 0;
    std::int64_t n = 0;
    std::optional<double> percent;
    std::optional<double> percent_low;
    std::optional<double> percent_high;
};

CountedShare counted_share(std::int64_t k, std::int64_t n);

struct PhaseFigures {
    CountedShare vocal; // passages, of all scored
    std::int64_t counted_calls = 0;
};

// The four spans of the restraint cycle, in the order of PeriodFigures::times.
enum class CycleTime { kHeldFor, kBodyHeldFor, kToStun, kRestrainedFor };
inline constexpr std::array kCycleTimes = {CycleTime::kHeldFor, CycleTime::kBodyHeldFor, CycleTime::kToStun,
                                           CycleTime::kRestrainedFor};

std::string_view name_of(CycleTime time); // "held_for_s", as in shift.json

struct PeriodFigures {
    std::int64_t passages = 0;
    CountedShare vocal; // of the scored
    std::string not_scored_because;
    std::optional<double> limit_percent; // none: not the same for all of it
    std::string basis;
    Verdict verdict = Verdict::kNotScored;
    std::optional<bool> interval_contains_limit; // true: too few animals to be sure of the verdict

    std::array<PhaseFigures, 4> phases;           // entry, body_held, held, at_stun
    std::map<std::string, std::int64_t> excluded; // passages by reason
    std::optional<double> passages_covered_percent;
    std::optional<double> time_heard_percent;
    std::optional<double> contacts_known_percent;

    std::array<Durations, 4> times; // by CycleTime, one decimal
    std::optional<double> line_rate_per_hour;
    double running_s = 0.0; // as the record has it
    double stopped_s = 0.0;
    bool between_shifts = false; // animals outside the planned shifts: its time is no shift's

    bool has_cut = false; // the cut stands where the stun is elsewhere
    std::optional<CountedShare> stunned_once;
    std::int64_t stunned_twice = 0;
    std::int64_t calls_after_stun = 0;
    std::optional<std::int64_t> calls_at_stun; // pigs only
    std::optional<HolderBangs> holder_bangs;   // none: a record of an older program

    std::string whose_told_by; // "nothing", "level", "level_and_delay"; empty: an older program's
    std::optional<std::int64_t> waiting_calls;
};

} // namespace quietpass
