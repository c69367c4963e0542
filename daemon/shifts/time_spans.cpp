#include "daemon/shifts/time_spans.h"

#include <algorithm>

namespace quietpass {

std::vector<TimeSpan> joined(std::vector<TimeSpan> spans, TimeSpan within) {
    std::sort(spans.begin(), spans.end(),
              [](const TimeSpan& a, const TimeSpan& b) { return a.start_s < b.start_s; });
    std::vector<TimeSpan> out;
    for (const TimeSpan& span : spans) {
        const TimeSpan clipped{std::max(span.start_s, within.start_s), std::min(span.end_s, within.end_s)};
        if (!(clipped.start_s < clipped.end_s)) continue;
        if (!out.empty() && clipped.start_s <= out.back().end_s) {
            out.back().end_s = std::max(out.back().end_s, clipped.end_s);
        } else {
            out.push_back(clipped);
        }
    }
    return out;
}

std::vector<TimeSpan> without(const std::vector<TimeSpan>& from, const std::vector<TimeSpan>& minus) {
    std::vector<TimeSpan> out;
    for (const TimeSpan& span : from) {
        double at = span.start_s;
        for (const TimeSpan& hole : minus) {
            if (hole.end_s <= at || hole.start_s >= span.end_s) continue;
            if (hole.start_s > at) out.push_back({at, hole.start_s});
            at = hole.end_s;
        }
        if (at < span.end_s) out.push_back({at, span.end_s});
    }
    return out;
}

double total_s(const std::vector<TimeSpan>& spans) {
    double total = 0.0;
    for (const TimeSpan& span : spans) total += span.end_s - span.start_s;
    return total;
}

} // namespace quietpass
