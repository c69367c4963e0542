// Seeded random numbers that are the same on every machine and with every standard library, which
// std::*_distribution does not promise. One Random a stream, so that streams may be made in any order. Not
// thread-safe.
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>

namespace quietpass::tuning {

class Random {
  public:
    explicit Random(std::uint64_t seed) : engine_(seed * 0x9E3779B97F4A7C15ULL + 0x5851F42D4C957F2DULL) {}

    // In [0, 1).
    double unit() { return static_cast<double>(engine_() >> 11U) * 0x1.0p-53; }

    double between(double low, double high) { return low + (high - low) * unit(); }

    // low, high > 0: even by ratio.
    double between_by_ratio(double low, double high) { return low * std::pow(high / low, unit()); }

    bool chance(double p) { return unit() < p; }

    // In [0, count); count > 0.
    std::size_t index(std::size_t count) {
        const auto picked = static_cast<std::size_t>(unit() * static_cast<double>(count));
        return picked < count ? picked : count - 1;
    }

    // How many events of a Poisson process whose mean is `mean`; mean below 30.
    int count(double mean) {
        int events = 0;
        for (double left = std::exp(-mean), p = unit(); p > left; p *= unit()) ++events;
        return events;
    }

    // In [-1, 1), white. From a small xorshift, because beds need millions a second.
    float white() {
        fast_ ^= fast_ << 13U;
        fast_ ^= fast_ >> 7U;
        fast_ ^= fast_ << 17U;
        return static_cast<float>(static_cast<std::int32_t>(fast_ >> 32U)) * 0x1.0p-31F;
    }

    std::uint64_t seed() { return engine_(); }

  private:
    std::mt19937_64 engine_;
    std::uint64_t fast_ = engine_() | 1U;
};

} // namespace quietpass::tuning
