// Which of two lists of times or spans mean the same. Seconds; pure; any thread.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace quietpass::evaluation {

// For each time of `wanted` the place of its partner in `found`: one to one, the closest pairs first, none
// further apart than `most_apart_s`. In any order.
std::vector<std::optional<std::size_t>> match_times(std::span<const double> wanted,
                                                    std::span<const double> found, double most_apart_s);

struct TimeSpan {
    double start_s = 0.0;
    double end_s = 0.0;
};

// Seconds in both; 0 when they don't touch.
double overlap_s(const TimeSpan& a, const TimeSpan& b);

} // namespace quietpass::evaluation
