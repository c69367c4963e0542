// Sets of stretches of time, for shares of a shift. Times in seconds; a span with end <= start is empty.
// Pure.
#pragma once

#include <vector>

namespace quietpass {

struct TimeSpan {
    double start_s = 0.0;
    double end_s = 0.0;
};

// The spans clipped to `within`, sorted, those that touch or overlap joined, empty ones gone.
std::vector<TimeSpan> joined(std::vector<TimeSpan> spans, TimeSpan within);

// What of `from` is in none of `minus`. Both as joined() gives them.
std::vector<TimeSpan> without(const std::vector<TimeSpan>& from, const std::vector<TimeSpan>& minus);

double total_s(const std::vector<TimeSpan>& spans);

} // namespace quietpass
