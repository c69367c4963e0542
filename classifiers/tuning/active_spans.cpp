#include "classifiers/tuning/active_spans.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "classifiers/tuning/biquad.h"

namespace quietpass::tuning {
namespace {

constexpr std::size_t kHop = 160; // 10 ms
constexpr double kHopS = kHop / kClipRateHz;
constexpr double kGapS = 0.2;
constexpr double kShortestS = 0.15;

double at_share(std::vector<double> values, double share) {
    const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return values[static_cast<std::size_t>(at)];
}

// Level of each 30 ms around each hop, dB.
std::vector<double> levels(std::span<const float> samples, double low_hz, double high_hz) {
    Biquad high = Biquad::high_pass(low_hz, 0.7);
    Biquad low = Biquad::low_pass(high_hz, 0.7);
    std::vector<double> energy(samples.size() / kHop, 0.0);
    for (std::size_t i = 0; i < energy.size() * kHop; ++i) {
        const double value = low.next(high.next(samples[i]));
        energy[i / kHop] += value * value;
    }
    std::vector<double> level(energy.size());
    for (std::size_t i = 0; i < energy.size(); ++i) {
        const double around =
            energy[i > 0 ? i - 1 : i] + energy[i] + energy[i + 1 < energy.size() ? i + 1 : i];
        level[i] = 10 * std::log10(around / (3 * kHop) + 1e-12);
    }
    return level;
}

} // namespace

std::vector<Span> active_spans(std::span<const float> samples, double low_hz, double high_hz,
                               SpanLabel label) {
    const std::vector<double> level = levels(samples, low_hz, high_hz);
    if (level.empty()) return {};
    const double peak = at_share(level, 0.98);
    const double floor = std::max(at_share(level, 0.10), peak - 60);
    // A clip that is as loud everywhere is one span.
    const double line = peak - floor < 9 ? floor - 1 : std::max(floor + 0.35 * (peak - floor), peak - 22);

    std::vector<Span> spans;
    for (std::size_t i = 0; i < level.size(); ++i) {
        if (level[i] <= line) continue;
        const double start_s = static_cast<double>(i) * kHopS;
        while (i < level.size() && level[i] > line) ++i;
        const double end_s = static_cast<double>(i) * kHopS;
        if (!spans.empty() && start_s - spans.back().end_s < kGapS) {
            spans.back().end_s = end_s;
        } else {
            spans.push_back({start_s, end_s, label});
        }
    }
    std::erase_if(spans, [](const Span& span) { return span.end_s - span.start_s < kShortestS; });
    return spans;
}

} // namespace quietpass::tuning
