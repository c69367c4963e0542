// One steady source of plant noise. add() mixes the next samples into out; it neither throws nor allocates.
// Parts wander slowly, because a plant is never quite steady. `plant` seeds what all microphones share
// (speeds, switching times), `here` what differs between them (the noise itself). Levels are whatever comes
// out: the Bed measures them.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "tests/scenario/clip.h"
#include "tests/scenario/random.h"
#include "tests/scenario/timeline.h"

namespace quietpass::scenario {

class BedPart {
  public:
    virtual ~BedPart() = default;
    // At most kTick samples a call: the wandering moves once a call.
    virtual void add(std::span<float> out, float gain) noexcept = 0;
    static constexpr std::size_t kTick = 64;
};

struct PartSeeds {
    Random plant;
    Random here;
};

std::unique_ptr<BedPart> make_room_noise(const PartSeeds& seeds);
std::unique_ptr<BedPart> make_hiss(const PartSeeds& seeds, double rate_hz);
std::unique_ptr<BedPart> make_fan(const PartSeeds& seeds, double rate_hz, double tone_hz);
std::unique_ptr<BedPart> make_hum(const PartSeeds& seeds, double rate_hz, double mains_hz, double on_s,
                                  double off_s);
std::unique_ptr<BedPart> make_rattle(const PartSeeds& seeds, double rate_hz, double blows_hz,
                                     const std::vector<Span>& stops);
std::unique_ptr<BedPart> make_drips(const PartSeeds& seeds, double rate_hz, double per_minute);
// clips: at the bed's rate, not empty, each longer than two seconds.
// ahead_s: how far ahead of the others this microphone hears the clips. They stand for the sound of a whole
// hall, which has no common phase at places some metres apart.
std::unique_ptr<BedPart> make_clip_bed(const PartSeeds& seeds, double rate_hz,
                                       std::shared_ptr<const std::vector<std::vector<float>>> clips,
                                       double ahead_s);

} // namespace quietpass::scenario
