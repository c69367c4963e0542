#include "tests/standards/golden_signals.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <functional>
#include <numbers>
#include <stdexcept>

namespace quietpass::golden {

namespace {

using std::numbers::pi;
constexpr double kRate = 16000.0;

std::vector<double> lcg_noise(std::size_t count) {
    std::vector<double> out(count);
    std::uint32_t x = 1;
    for (double& sample : out) {
        x = 1664525U * x + 1013904223U;
        sample = static_cast<double>(x) / 2147483648.0 - 1.0;
    }
    return out;
}

std::vector<double> harmonics(const std::function<double(double)>& f0_at, std::size_t count,
                              double tilt = 1.0) {
    std::vector<double> phase(count);
    double sum = 0.0;
    double highest = 0.0;
    for (std::size_t n = 0; n < count; ++n) {
        const double f0 = f0_at(static_cast<double>(n) / kRate);
        sum += f0;
        highest = std::max(highest, f0);
        phase[n] = 2.0 * pi * sum / kRate;
    }
    std::vector<double> out(count);
    for (int h = 1; h * highest < 7000.0; ++h) {
        for (std::size_t n = 0; n < count; ++n)
            out[n] += 0.1 * std::sin(h * phase[n] + h * h) / std::pow(h, tilt);
    }
    return out;
}

std::vector<float> with_noise(const std::vector<double>& signal, double amount) {
    const std::vector<double> noise = lcg_noise(signal.size());
    std::vector<float> out(signal.size());
    for (std::size_t n = 0; n < out.size(); ++n) out[n] = static_cast<float>(signal[n] + amount * noise[n]);
    return out;
}

} // namespace

std::vector<float> spectral_signal(const std::string& name) {
    constexpr std::size_t kCount = 1280;
    std::vector<double> signal(kCount);
    const auto fill = [&signal](const std::function<double(double)>& value_at) {
        for (std::size_t n = 0; n < signal.size(); ++n) signal[n] = value_at(static_cast<double>(n));
    };
    if (name == "tone") {
        fill([](double n) { return 0.5 * std::sin(2.0 * pi * 1000.3 * n / kRate); });
        return with_noise(signal, 0.001);
    }
    if (name == "harmonics") return with_noise(harmonics([](double) { return 180.0; }, kCount), 0.0005);
    if (name == "noise") return with_noise(signal, 0.3);
    if (name == "chirp") {
        fill([](double n) {
            const double t = n / kRate;
            return 0.4 * std::sin(2.0 * pi * (200.0 * t + 0.5 * 30000.0 * t * t));
        });
        return with_noise(signal, 0.001);
    }
    if (name == "click") {
        const std::vector<double> noise = lcg_noise(kCount);
        fill([&](double n) {
            return n >= 400.0 ? std::exp(-(n - 400.0) / 60.0) * noise[static_cast<std::size_t>(n)] : 0.0;
        });
        return with_noise(signal, 0.0);
    }
    throw std::invalid_argument("no such signal: " + name);
}

std::vector<float> pitch_signal(const std::string& name) {
    constexpr std::size_t kCount = 16000;
    const auto steady = [](double f0) { return [f0](double) { return f0; }; };
    const auto moo = [](double t) { return 110.0 + 60.0 * std::sin(pi * t); };
    if (name == "low_call") return with_noise(harmonics(steady(81.0), kCount), 0.003);
    if (name == "moo") return with_noise(harmonics(moo, kCount, 0.8), 0.003);
    if (name == "calf") return with_noise(harmonics(steady(143.0), kCount), 0.01);
    if (name == "noisy_moo") return with_noise(harmonics(moo, kCount), 0.05);
    if (name == "bugle") return with_noise(harmonics(steady(958.0), kCount, 1.5), 0.003);
    if (name == "squeal") {
        const auto squeal = [](double t) { return 1215.0 + 100.0 * std::sin(2.0 * pi * 3.0 * t); };
        return with_noise(harmonics(squeal, kCount, 0.7), 0.01);
    }
    if (name == "high_squeal") return with_noise(harmonics(steady(2200.0), kCount, 0.7), 0.03);
    throw std::invalid_argument("no such signal: " + name);
}

} // namespace quietpass::golden
