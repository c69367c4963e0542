// A sound that one microphone's Ear judged to be a call, and why.
//
// Times are seconds of that microphone's sample clock (sample index / sample rate). A plain value; safe to
// copy.
#pragma once

#include <string>

#include "classifiers/species.h"

namespace quietpass {

struct HeardCall {
    double start_s = 0.0;
    double end_s = 0.0; // > start_s
    CallKind kind = CallKind::kMoo;
    double score = 0.0;    // points of the scorecard; at or above the profile's cut
    double level_db = 0.0; // highest F-weighted band level of the sound, dB re full scale until calibrated
    double f0_hz = 0.0;    // median fundamental of its voice, Hz; 0 when no pitch was found
    std::string reasons;   // the terms that gave points, largest first: "voice_s>0.4 +1.2; …"
};

} // namespace quietpass
