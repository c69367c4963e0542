// A stretch of a simulated shift with everything in its place and known: a plant's background, bangs, air,
// voices and machines over it, and in some of its passages calls at a chosen level against the background.
//
// Signal-to-noise ratio of a call: mean power of the call over its labelled span against that of the
// background alone in the same stretch, both in the plan's band, dB; rumble beneath a call would drown an
// unfiltered figure. Level of any other noise: its loudest 125 ms over the RMS of the background, dB.
// Deterministic: the same plan and clips give the same samples.
#pragma once

#include <cstdint>
#include <limits>
#include <string>
#include <vector>

#include "classifiers/species.h"
#include "classifiers/tuning/clip.h"

namespace quietpass::tuning {

// The clips a stream may take from; pointers into the corpus, which outlives the stream.
struct StreamClips {
    std::vector<const Clip*> calls;  // with kCall spans
    std::vector<const Clip*> grunts; // with kGrunt spans
    std::vector<const Clip*> others; // any other class, also as beds where the class is a running noise
};

struct StreamPlan {
    int passages = 8;
    double vocal_share = 0.5;
    double snr_db = std::numeric_limits<double>::quiet_NaN(); // NaN: each call its own, −4 … 22
    double low_hz = 80.0;                                     // the band of the signal-to-noise ratio
    double high_hz = 2500.0;
    // Only what a plant of the species holds. False: every other class, and rougher recordings.
    bool plant = true;
    double passage_s = 25.0;  // mean length
    double busy = 1.0;        // how many of the recorded noises of a plant, against the usual number
    bool as_recorded = false; // recordings keep their pitch and colour
    double published = 0.0;   // share of the vocal passages whose calls are made ones (published_calls.h)
    std::uint64_t seed = 0;
};

struct PlacedSpan {
    double start_s = 0.0;
    double end_s = 0.0;
    SpanLabel label = SpanLabel::kOther;
    std::string kind;      // the clip's class, or "bang", "air blast" … when synthesised
    std::string recording; // empty when synthesised
    double snr_db = 0.0;   // calls only
};

struct SimulatedPassage {
    double start_s = 0.0;
    double end_s = 0.0;
    bool vocal = false;
    double snr_db = 0.0; // of its calls; NaN when they differ or there are none
};

struct SimulatedStream {
    std::vector<float> samples; // at kClipRateHz
    std::vector<PlacedSpan> placed;
    std::vector<SimulatedPassage> passages;
};

// Whether clips of this class may serve as background for minutes.
bool is_running_noise(const std::string& kind);

SimulatedStream simulate(const StreamPlan& plan, const StreamClips& clips);

} // namespace quietpass::tuning
