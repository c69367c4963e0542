// Impacts in a sound: moments at which the level leaps in most of the spectrum at once, as of a hoof, a gate
// or a head against the bars. A sound may hold several. Which of them are bangs is judged by noise_rules.h.
//
// Levels over the floor are means over octaves (SoundFrames::around_db), so that neither rumble nor one loud
// tone makes an impact. Times are good to a frame (16 ms). Pure; allocates nothing; safe from any thread.
#pragma once

#include <array>
#include <cstddef>

#include "classifiers/sound_frames.h"

namespace quietpass {

struct Impact {
    float after_s = 0.0F;  // from the sound's start to the loudest moment
    float rise_db = 0.0F;  // how far the level over the floor rose within 48 ms
    float fall_db = 0.0F;  // how far it fell again within 0.2 s
    float level_db = 0.0F; // highest F-weighted level within 0.1 s in the species' band, dB re full scale
};

// The first kMost of a sound that rise by kLeastRise_db or more, at least kApart frames from each other.
struct Impacts {
    static constexpr std::size_t kMost = 8;
    static constexpr float kLeastRise_db = 4.0F;
    static constexpr std::size_t kApart = 6; // 0.1 s
    std::array<Impact, kMost> list{};
    std::size_t count = 0;
};

void find_impacts(const SoundFrames& frames, const dsp::BinRange& band, Impacts& out) noexcept;

} // namespace quietpass
