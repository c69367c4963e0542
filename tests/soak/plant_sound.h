// What the microphone would give: the reels where they lie in the month, a quiet hall between them, and what
// the sound faults make of it. World seconds. Costs far less than hearing it. One thread.
#pragma once

#include <span>
#include <vector>

#include "tests/soak/plan.h"

namespace quietpass::soak {

class PlantSound {
  public:
    // plan and reels must outlive it.
    PlantSound(const Plan& plan, std::vector<Reel*> reels, std::uint64_t seed);

    // Called with times that never go back.
    void fill(double start_s, std::span<float> samples);
    bool powered(double time_s);    // false: nobody works, the microphone is switched off
    double powered_again_s() const; // after powered() said no; infinity: never

  private:
    void play(double start_s, std::span<float> samples);
    void spoil(double start_s, std::span<float> samples) const;

    const Plan& plan_;
    std::vector<Reel*> reels_;
    std::vector<float> hall_;
    std::size_t work_ = 0;
    std::size_t reel_ = 0; // of the work
    mutable std::size_t fault_ = 0;
};

} // namespace quietpass::soak
