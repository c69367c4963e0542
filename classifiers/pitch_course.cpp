#include "classifiers/pitch_course.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "dsp/analysis.h"

namespace quietpass {

PitchArch arch_of(std::span<const float> f0_hz) noexcept {
    // Least squares on x from −1 to 1, by the normal equations of a parabola.
    std::array<double, 5> moments{};
    std::array<double, 3> right{};
    double lowest = 1e9;
    double highest = 0.0;
    const double half = 0.5 * static_cast<double>(f0_hz.size() > 1 ? f0_hz.size() - 1 : 1);
    const auto x_of = [half](std::size_t i) { return static_cast<double>(i) / half - 1.0; };
    for (std::size_t i = 0; i < f0_hz.size(); ++i) {
        if (f0_hz[i] <= 0.0F) continue;
        const double x = x_of(i);
        const double y = std::log2(static_cast<double>(f0_hz[i]));
        double power = 1.0;
        for (std::size_t p = 0; p < moments.size(); ++p) {
            moments[p] += power;
            if (p < right.size()) right[p] += power * y;
            power *= x;
        }
        lowest = std::min(lowest, static_cast<double>(f0_hz[i]));
        highest = std::max(highest, static_cast<double>(f0_hz[i]));
    }
    PitchArch arch;
    if (moments[0] < 3.0) return arch;
    arch.range_oct = std::log2(highest / lowest);
    const auto& m = moments;
    const double determinant = m[0] * (m[2] * m[4] - m[3] * m[3]) - m[1] * (m[1] * m[4] - m[3] * m[2]) +
                               m[2] * (m[1] * m[3] - m[2] * m[2]);
    if (std::abs(determinant) < 1e-9) return arch;
    const double a = (right[0] * (m[2] * m[4] - m[3] * m[3]) - m[1] * (right[1] * m[4] - m[3] * right[2]) +
                      m[2] * (right[1] * m[3] - m[2] * right[2])) /
                     determinant;
    const double b = (m[0] * (right[1] * m[4] - right[2] * m[3]) - right[0] * (m[1] * m[4] - m[3] * m[2]) +
                      m[2] * (m[1] * right[2] - right[1] * m[2])) /
                     determinant;
    const double c = (m[0] * (m[2] * right[2] - m[3] * right[1]) -
                      m[1] * (m[1] * right[2] - right[1] * m[2]) + right[0] * (m[1] * m[3] - m[2] * m[2])) /
                     determinant;
    arch.slope_oct_s = b / half * dsp::kFrameRateHz;
    arch.arch_oct = -c;
    double squares = 0.0;
    for (std::size_t i = 0; i < f0_hz.size(); ++i) {
        if (f0_hz[i] <= 0.0F) continue;
        const double x = x_of(i);
        const double off = std::log2(static_cast<double>(f0_hz[i])) - (a + x * (b + x * c));
        squares += off * off;
    }
    arch.wander_oct = std::sqrt(squares / m[0]);
    return arch;
}

std::size_t longest_steady(std::span<const float> f0_hz) noexcept {
    std::size_t best = 0;
    std::size_t first = 0;
    for (std::size_t i = 0; i < f0_hz.size(); ++i) {
        if (f0_hz[i] <= 0.0F) {
            first = i + 1;
            continue;
        }
        for (std::size_t k = i; k-- > first;) {
            if (std::abs(f0_hz[k] / f0_hz[i] - 1.0F) > 0.01F) {
                first = k + 1;
                break;
            }
        }
        best = std::max(best, i - first + 1);
    }
    return best;
}

} // namespace quietpass
