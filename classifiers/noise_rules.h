// What makes a sound a bang or a hiss: a few gates on its measures and impacts, the same for every station
// and species. Chosen on the classes impulse, metal and air of the collection of recordings against calls,
// speech and machines (tests/evaluation/noise_rates.cpp prints what they reach).
//
// Pure, noexcept, safe from any thread.
#pragma once

#include "classifiers/heard_noise.h"
#include "classifiers/sound.h"

namespace quietpass {

struct NoiseRules {
    // A bang: an impact that leaps this far over what was, and falls off again. Voices swell: of 55
    // recordings of cattle none leaps so far.
    float bang_rise_db = 15.0F;   // within 48 ms
    float bang_fall_db = 4.0F;    // within 0.2 s
    float bang_voice_tone = 4.5F; // a sound whose harmonics stand out further is somebody's voice
    // A hiss: high, even noise of some length without tones.
    float hiss_s = 0.25F;
    float hiss_entropy = 0.74F; // how evenly the energy is spread
    float hiss_db = -6.0F;      // 4 to 8 kHz over 0.5 to 2 kHz
    float hiss_tonal = 0.25F;   // share of the energy in narrow peaks, at most
};

bool is_bang(const NoiseRules& rules, const Impact& impact) noexcept;
// Whether impacts in this sound, which is no call, may be bangs at all.
bool may_hold_bangs(const NoiseRules& rules, const MeasureRow& measures) noexcept;
bool is_hiss(const NoiseRules& rules, const MeasureRow& measures) noexcept;

} // namespace quietpass
