#include "classifiers/tuning/species_defaults.h"

#include <limits>

#include "classifiers/measures.h"

namespace quietpass::tuning {

SegmentSettings segments_for(Species species) {
    SegmentSettings settings;
    if (species == Species::kPig) {
        // Distress calls lie mostly above 1 kHz, f0 of restrained piglets 1,215 ± 203 Hz (PMC6115786,
        // PMC4537126).
        settings.low_hz = 400.0;
        settings.high_hz = 7500.0;
        settings.f0_low_hz = 150.0;
        settings.f0_high_hz = 2500.0;
        settings.shortest_s = 0.12;
        settings.join_s = 0.1;
    }
    return settings;
}

double false_alarms_for(Species species) {
    return species == Species::kPig ? 0.045 : 0.025;
}

CallKind counted_kind(Species species) {
    return species == Species::kPig ? CallKind::kSqueal : CallKind::kMoo;
}

std::vector<Gate> gates_for(Species species) {
    constexpr float kNoLimit = std::numeric_limits<float>::infinity();
    return {{kDurationS, species == Species::kPig ? 0.12F : 0.2F, kNoLimit}};
}

std::vector<KindRule> kind_rules_for(Species species) {
    if (species == Species::kPig) return {};
    // A bull's bugle: f0 958 Hz, 801 … 1,125. A bull's bellow: f0 at most 113.6 Hz (published means); where
    // the voice is rough at that pitch it is no low call of a cow.
    return {{CallKind::kBellow, {{kVoiceF0Hz, true, 700.0F}, {kVoiceOctaveDown, false, 0.3F}}},
            {CallKind::kBellow,
             {{kVoiceF0HighHz, true, 0.0F}, {kVoiceF0HighHz, false, 114.0F}, {kVoiceToneLow, false, 2.0F}}}};
}

} // namespace quietpass::tuning
