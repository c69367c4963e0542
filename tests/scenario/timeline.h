// Who goes through the station when, which contacts close, and what is to be heard: the shift before there is
// sound. Times in seconds from the first audio sample, on a grid of 1 ms.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/contacts/edge.h"
#include "tests/scenario/recording_shelf.h"
#include "tests/scenario/scenario.h"

namespace quietpass::scenario {

struct TruePassage {
    int number = 0; // from 1
    double entered_s = 0.0;
    double body_held_s = 0.0;
    double held_s = 0.0;
    double stunned_s = 0.0;
    double released_s = 0.0;
    double second_stun_s = kNever;
    int calls = 0; // counted ones
    int prods = 0;
    bool stopped = false; // the line stood still while this animal was in

    bool vocal() const { return calls > 0; }
    int stuns() const { return second_stun_s == second_stun_s ? 2 : 1; }
};

enum class CueKind { kCall, kGrunt, kWaiting, kDisturbance };

// One sound to be mixed in. start_s … end_s is where it is active on the first microphone.
struct Cue {
    CueKind kind = CueKind::kCall;
    double start_s = 0.0;
    double end_s = 0.0;
    std::string sound_class; // the manifest's class, or the name of a made sound
    std::string recording;   // empty: made
    const Clip* clip = nullptr;
    ClipPart part;
    std::uint64_t made_seed = 0;
    int passage = 0;   // 0: none
    std::string phase; // a phase's word, "waiting", or empty
    bool counted = false;
    double level_db = 0.0; // calls: snr_db; disturbances: over the bed
    double distance_m = 0.0;
    std::optional<double> place_m; // up the race from the held animal's head; none: as the microphones say
};

struct Span {
    double start_s = 0.0;
    double end_s = 0.0;
};

struct Timeline {
    double length_s = 0.0;
    std::vector<TruePassage> passages;
    std::vector<Edge> edges; // in time order, bounces included
    std::vector<Cue> cues;   // in order of start_s
    std::vector<Span> stops; // the line stood still
};

// The shelf must outlive the timeline: cues point at its clips.
Timeline make_timeline(const Scenario& scenario, RecordingShelf& shelf);

} // namespace quietpass::scenario
