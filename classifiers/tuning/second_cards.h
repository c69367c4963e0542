// The cards that come after a species' main one: voices of cattle that are on no recording at hand, which
// count, and grunts of pigs, which never do.
//
// A bull's bugle (published: f0 801 … 1,125 Hz) and a call with the mouth closed (f0 near 80 Hz) are so
// unlike the rest that one card for all would let in whatever whistles or hums. Their cards look only at long
// voices of such a pitch and are trained on made calls (published_calls.h) and on the calls of recordings
// that lie there. Errors: std::invalid_argument where there are no grunts to learn from.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "classifiers/profile.h"
#include "classifiers/tuning/labelled_sound.h"
#include "classifiers/tuning/scorecard_trainer.h"

namespace quietpass::tuning {

// A made call in the bugles' range: for its own card to learn, and for the first to leave alone.
bool is_made_bugle(const LabelledSound& sound);

// What one of the cards looks at, and the kind that it finds.
struct VoiceRange {
    CallKind kind = CallKind::kMoo;
    double lowest_hz = 0.0; // of the voice's high pitch (90th percentile)
    double highest_hz = 0.0;
    double shortest_s = 0.0; // of the voice
};
inline constexpr std::array kVoiceRanges = {VoiceRange{CallKind::kBellow, 700.0, 1300.0, 0.4},
                                            VoiceRange{CallKind::kMoo, 60.0, 135.0, 0.5}};

// Share of quiet passages that each of these cards may judge vocal, beside the first card's.
inline constexpr double kRangeFalseAlarms = 0.004;
// … and the least a sound needs, points: so few sounds lie in a range that the share alone says little.
inline constexpr double kLowestRangeCut = 0.5;

// With its gates and kind; the cut is the caller's. Nothing where there are too few voices to tell apart by.
std::optional<Scorecard> voice_range_card(const VoiceRange& range,
                                          const std::vector<const LabelledSound*>& sounds,
                                          TrainingSettings settings);

// Whole, its cut the one with the best F1 over the sounds.
Scorecard grunt_card(const std::vector<const LabelledSound*>& sounds, TrainingSettings settings);

} // namespace quietpass::tuning
