// The sounds that the shipped SoundFinder finds in a simulated stream, each with what it truly is.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "classifiers/measures.h"
#include "classifiers/segment_settings.h"
#include "classifiers/tuning/simulated_stream.h"

namespace quietpass::tuning {

struct LabelledSound {
    MeasureRow measures{};
    SpanLabel label = SpanLabel::kOther;
    float weight = 1.0F;   // of a call cut in pieces, each piece its share
    std::string kind;      // class of what was heard; "background" when nothing was placed there
    std::string recording; // of what was heard; empty when synthesised or background
    double start_s = 0.0;
    double end_s = 0.0;
    std::int32_t passage = -1; // index into HeardStream::passages; −1 outside
    std::int32_t fold = 0;
    double snr_db = 0.0; // calls only
};

// A call that was placed, and whether any sound was found that could be it.
struct HeardStream {
    std::vector<LabelledSound> sounds;
    std::vector<SimulatedPassage> passages;
    int calls = 0;
    int calls_found = 0;
};

// A found sound is the call it overlaps when at least half of it lies in the call, or when it holds most of
// the call and is not much longer; it is something else when less than a twentieth of it is call; in between
// it is kIgnore.
HeardStream hear(const SimulatedStream& stream, const SegmentSettings& settings);

} // namespace quietpass::tuning
