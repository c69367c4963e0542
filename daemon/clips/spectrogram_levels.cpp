#include "daemon/clips/spectrogram_levels.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "dsp/power_spectrum.h"

namespace quietpass {

namespace {

constexpr double kFrameS = 0.032;
constexpr double kFloor = 1e-12; // of power: -120 dB

// The largest power from one frequency to another, in bins; between bins what lies on the line.
double power_in(const std::vector<float>& power, double low, double high) {
    const auto at = [&power](double bin) {
        const double held = std::clamp(bin, 0.0, static_cast<double>(power.size() - 1));
        const auto below = static_cast<std::size_t>(held);
        const std::size_t above = std::min(below + 1, power.size() - 1);
        const double part = held - static_cast<double>(below);
        return (1.0 - part) * static_cast<double>(power[below]) + part * static_cast<double>(power[above]);
    };
    double most = at(0.5 * (low + high));
    for (auto bin = static_cast<std::size_t>(std::ceil(low)); static_cast<double>(bin) < high; ++bin) {
        if (bin < power.size()) most = std::max(most, static_cast<double>(power[bin]));
    }
    return most;
}

} // namespace

std::size_t spectrogram_frame(double rate_hz) {
    return std::max<std::size_t>(64, std::bit_floor(static_cast<std::size_t>(2.0 * kFrameS * rate_hz)));
}

std::vector<float> spectrogram_levels(std::span<const float> samples, double rate_hz,
                                      const SpectrogramGrid& grid) {
    const std::size_t size = spectrogram_frame(rate_hz);
    dsp::PowerSpectrum spectrum(size);
    std::vector<float> frame(size);
    std::vector<float> power(spectrum.bins());
    std::vector<float> most(spectrum.bins());
    std::vector<float> levels(grid.width * grid.height);
    const double step = (grid.to - grid.from) / static_cast<double>(grid.width);
    const double bins_a_row =
        grid.highest_hz / static_cast<double>(grid.height) / rate_hz * static_cast<double>(size);
    const int frames = std::max(1, static_cast<int>(std::ceil(2.0 * step / static_cast<double>(size))));
    for (std::size_t x = 0; x < grid.width; ++x) {
        std::fill(most.begin(), most.end(), 0.0F);
        for (int number = 0; number < frames; ++number) {
            const double part = (number + 0.5) / frames;
            const auto middle =
                static_cast<std::ptrdiff_t>(grid.from + (static_cast<double>(x) + part) * step);
            for (std::size_t i = 0; i < size; ++i) {
                const std::ptrdiff_t at =
                    middle + static_cast<std::ptrdiff_t>(i) - static_cast<std::ptrdiff_t>(size / 2);
                const bool there = at >= 0 && at < static_cast<std::ptrdiff_t>(samples.size());
                frame[i] = there ? samples[static_cast<std::size_t>(at)] : 0.0F;
            }
            spectrum.process(frame, power);
            for (std::size_t bin = 0; bin < power.size(); ++bin) most[bin] = std::max(most[bin], power[bin]);
        }
        for (std::size_t y = 0; y < grid.height; ++y) {
            const double high = static_cast<double>(grid.height - y) * bins_a_row;
            levels[y * grid.width + x] =
                static_cast<float>(10.0 * std::log10(power_in(most, high - bins_a_row, high) + kFloor));
        }
    }
    return levels;
}

} // namespace quietpass
