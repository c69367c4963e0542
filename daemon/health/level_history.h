// What a level usually is: its quantiles over a long time, in steps of half a decibel. Old values fade, so
// that it follows the seasons and not the minute; a minority of odd values moves its quantiles little.
//
// Deterministic; allocates nothing. in: dB, held within −200 … 60. Not thread-safe.
#pragma once

#include <array>
#include <cstddef>

namespace quietpass {

class LevelHistory {
  public:
    void add(double level_db) noexcept;
    // Everything so far counts `keep` (0 … 1) of what it counted.
    void fade(double keep) noexcept;
    // The level that a share (0 … 1) of the values lies below; NaN before the first value.
    double quantile_db(double share) const noexcept;

  private:
    static constexpr double kLowest_db = -200.0;
    static constexpr double kStep_db = 0.5;
    static constexpr std::size_t kSteps = 521;
    std::array<double, kSteps> counts_{};
};

} // namespace quietpass
