// Random numbers that are the same everywhere: the standard's distributions differ between libraries, these
// don't. xoshiro256++ seeded by splitmix64 (Blackman and Vigna, prng.di.unimi.it). Each purpose has its own
// stream, named by a label, so that another number of voices does not move the passages.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <utility>
#include <vector>

#include "tests/scenario/scenario.h"

namespace quietpass::scenario {

class Random {
  public:
    Random(std::uint64_t seed, std::string_view label) {
        std::uint64_t mix = seed ^ 0xcbf29ce484222325ULL;
        for (const char letter : label) { // FNV-1a
            mix = (mix ^ static_cast<unsigned char>(letter)) * 0x100000001b3ULL;
        }
        for (std::uint64_t& word : state_) {
            mix += 0x9e3779b97f4a7c15ULL;
            std::uint64_t z = mix;
            z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
            z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
            word = z ^ (z >> 31);
        }
    }

    std::uint64_t bits() {
        const std::uint64_t result = turned(state_[0] + state_[3], 23) + state_[0];
        const std::uint64_t t = state_[1] << 17;
        state_[2] ^= state_[0];
        state_[3] ^= state_[1];
        state_[1] ^= state_[2];
        state_[0] ^= state_[3];
        state_[2] ^= t;
        state_[3] = turned(state_[3], 45);
        return result;
    }

    double uniform() { return static_cast<double>(bits() >> 11) * 0x1.0p-53; } // [0, 1)
    double uniform(double low, double high) { return low + (high - low) * uniform(); }
    std::size_t index(std::size_t count) {
        return static_cast<std::size_t>(uniform() * static_cast<double>(count));
    }
    bool chance(double share) { return uniform() < share; }

    double normal(double mean = 0.0, double sd = 1.0) {
        const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
        return mean + sd * radius * std::cos(6.283185307179586 * uniform());
    }

    double draw(const Spread& spread) {
        for (int tries = 0; tries < 100; ++tries) {
            const double value = normal(spread.mean, spread.sd);
            if (value >= spread.least && value <= spread.most) return value;
        }
        return spread.mean;
    }

    std::size_t weighted(const std::vector<double>& weights) {
        double sum = 0.0;
        for (const double weight : weights) sum += weight;
        double left = uniform() * sum;
        for (std::size_t i = 0; i + 1 < weights.size(); ++i) {
            left -= weights[i];
            if (left < 0.0) return i;
        }
        return weights.size() - 1;
    }

    template <typename T>
    void shuffle(std::vector<T>& items) {
        for (std::size_t i = items.size(); i > 1; --i) std::swap(items[i - 1], items[index(i)]);
    }

  private:
    static std::uint64_t turned(std::uint64_t word, int by) { return (word << by) | (word >> (64 - by)); }
    std::array<std::uint64_t, 4> state_{};
};

} // namespace quietpass::scenario
