#include "tests/scenario/made_sound.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "daemon/failure.h"
#include "tests/scenario/filters.h"
#include "tests/scenario/random.h"

namespace quietpass::scenario {

namespace {

constexpr double kFullTurn = 2.0 * std::numbers::pi;

// Struck steel: partials at uneven ratios that die away, and the blow itself.
void strike(std::vector<float>& out, Random& random, double rate, double base_hz, double decay_s,
            int partials, double blow) {
    for (int n = 0; n < partials; ++n) {
        const double hz = base_hz * (1.0 + 0.7 * n + random.uniform(-0.2, 0.35));
        if (hz > 0.4 * rate) break;
        const double gain = random.uniform(0.4, 1.0) / (1.0 + 0.5 * n);
        const double fall = std::log(1000.0) / (decay_s * random.uniform(0.5, 1.0) / (1.0 + 0.25 * n));
        const double turn = random.uniform(0.0, kFullTurn);
        for (std::size_t i = 0; i < out.size(); ++i) {
            const double t = static_cast<double>(i) / rate;
            out[i] += static_cast<float>(gain * std::exp(-fall * t) * std::sin(kFullTurn * hz * t + turn));
        }
    }
    Biquad body = Biquad::low_pass(rate, 3500.0, 0.7);
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double t = static_cast<double>(i) / rate;
        out[i] += static_cast<float>(blow * std::exp(-60.0 * t) * body.process(random.normal()));
    }
}

void hiss(std::vector<float>& out, Random& random, double rate) {
    Biquad high = Biquad::high_pass(rate, random.uniform(900.0, 2200.0), 0.7);
    Biquad colour = Biquad::peak(rate, random.uniform(3000.0, 6500.0), 1.2, 8.0);
    const double length = static_cast<double>(out.size()) / rate;
    const double fall = random.uniform(2.0, 4.0) / length;
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double t = static_cast<double>(i) / rate;
        const double rise = 1.0 - std::exp(-t / 0.008);
        out[i] +=
            static_cast<float>(rise * std::exp(-fall * t) * colour.process(high.process(random.normal())));
    }
}

void shot(std::vector<float>& out, Random& random, double rate) {
    const double thump_hz = random.uniform(110.0, 190.0);
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double t = static_cast<double>(i) / rate;
        const double crack = std::exp(-90.0 * t) * random.normal();
        const double thump = 0.8 * std::exp(-28.0 * t) * std::sin(kFullTurn * thump_hz * t);
        out[i] += static_cast<float>(crack + thump);
    }
}

void horn(std::vector<float>& out, Random& random, double rate) {
    const double base_hz = random.uniform(310.0, 520.0);
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double t = static_cast<double>(i) / rate;
        double sum = 0.0;
        for (int n = 1; n <= 8 && base_hz * n < 0.4 * rate; ++n) {
            sum += std::sin(kFullTurn * base_hz * n * t) / n + 0.6 * std::sin(kFullTurn * base_hz * 1.26 * n * t) / n;
        }
        const double rise = std::min(1.0, t / 0.02);
        out[i] += static_cast<float>(rise * sum);
    }
}

} // namespace

double made_length_s(const std::string& made, std::uint64_t seed) {
    Random random(seed, "length");
    if (made == "bang") return random.uniform(0.35, 0.6);
    if (made == "clang") return random.uniform(0.5, 1.1);
    if (made == "air") return random.uniform(0.5, 1.4);
    if (made == "shot") return random.uniform(0.15, 0.25);
    return random.uniform(0.8, 1.6);
}

std::vector<float> make_sound(const std::string& made, std::uint64_t seed, int sample_rate_hz) {
    const double rate = sample_rate_hz;
    const double length_s = made_length_s(made, seed);
    std::vector<float> out(static_cast<std::size_t>(length_s * rate), 0.0F);
    Random random(seed, made);
    if (made == "bang") {
        strike(out, random, rate, random.uniform(90.0, 180.0), 0.45, 7, 1.4);
    } else if (made == "clang") {
        strike(out, random, rate, random.uniform(450.0, 1100.0), 1.1, 9, 0.5);
    } else if (made == "air") {
        hiss(out, random, rate);
    } else if (made == "shot") {
        shot(out, random, rate);
    } else {
        horn(out, random, rate);
    }
    const std::size_t fade = std::min(out.size(), static_cast<std::size_t>(0.03 * rate));
    float peak = 1e-9F;
    for (std::size_t i = 0; i < out.size(); ++i) {
        const std::size_t left = out.size() - i;
        if (left < fade) out[i] *= static_cast<float>(left) / static_cast<float>(fade);
        peak = std::max(peak, std::abs(out[i]));
    }
    for (float& sample : out) sample /= peak;
    return out;
}

std::string made_instead_of(const std::string& recordings_class) {
    if (recordings_class == "impulse") return "shot";
    if (recordings_class == "metal") return "clang";
    if (recordings_class == "air" || recordings_class == "horn") return recordings_class;
    throw Failure(kExitUsage,
                  "no recordings of class '" + recordings_class +
                      "' and none can be made: name a folder with --recordings or take the class out");
}

} // namespace quietpass::scenario
