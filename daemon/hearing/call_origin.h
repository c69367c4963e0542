// Whose call it is: the restrained animal's or a waiting one's, from what a microphone at the restraint and
// one up the race heard of it.
//
// The rule: a call that is louder and earlier up the race is a waiting animal's. How much louder it must be
// follows from the delay: an animal at the far microphone is some decibels louder there even in a hall that
// rings, one just beyond the entrance hardly; what comes from far up the race and is no louder there is some
// other noise that fell together with the call. Where the delay can't be told (two clocks, or too much
// noise), only what is much louder is a waiting animal's. In doubt the Station counts what
// the microphone at the restraint heard: a call that is wrongly left out makes a vocal animal a silent one.
// From when on is in the station file, [whose_call].
//
// Louder means both by level as it is and by level over each microphone's own background, so that neither
// another gain nor a noisier place alone decides. Pure functions; levels in dB, times in seconds.
#pragma once

#include <string>

#include "daemon/hearing/separation.h"

namespace quietpass {

// Differences are up the race minus at the restraint; a delay is positive where the sound came later up the
// race.
struct OriginEvidence {
    double louder_db = 0.0;     // of what stands over the background in the call's bins
    double clearer_db = 0.0;    // the same over each one's own background
    double near_clear_db = 0.0; // signal over background at the restraint, in the call's bins
    double far_clear_db = 0.0;
    bool has_delay = false;
    double waiting_delay_s = 0.0;   // the strongest delay that is a waiting animal's …
    double waiting_height = 0.0;    // … and how strong: the share of full agreement
    double restraint_delay_s = 0.0; // the strongest of the others
    double restraint_height = 0.0;
    double spread = 0.0; // what noise alone gives
};

enum class Origin { kUnknown, kRestraint, kWaiting };

struct OriginJudgement {
    Origin origin = Origin::kUnknown;
    bool by_delay = false;
    double louder_db = 0.0;
    double delay_s = 0.0; // with by_delay
};

OriginJudgement judge_origin(const MicrophonePair& pair, const OriginEvidence& evidence);

// Delays below this (and above −∞) are those of an animal beyond the entrance and beyond the middle between
// the microphones, seconds.
double waiting_delays_below_s(const MicrophonePair& pair);
// No delay between the pair is longer, seconds.
double longest_delay_s(const MicrophonePair& pair);

// In plain words, for the call's reasons: "7.1 dB louder and 17.2 ms earlier at race than at head"; empty for
// an unknown origin.
std::string words_of(const OriginJudgement& judgement, const std::string& near, const std::string& far);

} // namespace quietpass
