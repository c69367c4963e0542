// The background of one microphone's place: the parts that a scenario names, each brought to its level
// against the others, the sum to level_db (long-run RMS, Z, dB re full scale), slowly swaying. Endless; never
// the same twice.
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "tests/scenario/bed_part.h"
#include "tests/scenario/recording_shelf.h"
#include "tests/scenario/wander.h"

namespace quietpass::scenario {

class Bed {
  public:
    Bed(const Scenario& scenario, std::size_t microphone, RecordingShelf& shelf,
        const std::vector<Span>& stops);

    // Overwrites out with the next samples, before the microphone's response.
    void make(std::span<float> out) noexcept;

  private:
    struct Voice {
        std::unique_ptr<BedPart> part;
        double gain;
        Wander sway;
    };
    std::vector<Voice> voices_;
    double sway_db_;
};

} // namespace quietpass::scenario
