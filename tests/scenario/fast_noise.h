// White noise for millions of samples: uniform, mean 0, variance 1. xorshift64* (Vigna, prng.di.unimi.it).
#pragma once

#include <cstdint>

namespace quietpass::scenario {

class FastNoise {
  public:
    explicit FastNoise(std::uint64_t seed) : state_(seed | 1U) {}

    float next() noexcept {
        state_ ^= state_ >> 12;
        state_ ^= state_ << 25;
        state_ ^= state_ >> 27;
        const auto word = static_cast<std::int32_t>((state_ * 0x2545f4914f6cdd1dULL) >> 32);
        return static_cast<float>(word) * (1.7320508F / 2147483648.0F);
    }

  private:
    std::uint64_t state_;
};

} // namespace quietpass::scenario
