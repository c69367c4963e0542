// A sound: a stretch of audio that stands out from the background, not yet judged.
//
// Times are seconds of the sample clock, counted from the first sample. A plain value, fixed size.
#pragma once

#include "classifiers/impacts.h"
#include "classifiers/measures.h"

namespace quietpass {

// What gave the sound away. A tone's sound spans the tone alone, whatever bangs or blows around it; so a
// stretch of audio may lie in one sound by level and one by tone. Where the voice in such a sound is much
// shorter than the sound, it is a sound of its own.
enum class FoundBy { kLevel, kTone, kVoice };

struct Sound {
    double start_s = 0.0;
    double end_s = 0.0;         // > start_s
    double voice_start_s = 0.0; // where its voice lies; the whole sound when there is none to speak of
    double voice_end_s = 0.0;
    double known_at_s = 0.0; // how far had been heard when it was measured
    FoundBy found_by = FoundBy::kLevel;
    float level_db = 0.0F; // highest F-weighted (125 ms) level in the species' band, dB re full scale
    float f0_hz = 0.0F;    // median pitch of its voice; 0 when there is none
    MeasureRow measures{};
    Impacts impacts;
};

} // namespace quietpass
