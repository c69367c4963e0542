// What happens in the plant in the month, all of it from a seed: when people work, which animals come, what
// the contacts do, which faults strike, when the daemon is stopped, killed and started.
//
// Times are world seconds (soak_clock.h). Pure; made once, before the first sample.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "daemon/shifts/schedule.h"
#include "tests/contacts/scripted_source.h"
#include "tests/soak/reel.h"

namespace quietpass::soak {

enum class FaultKind {
    kNone,
    kLossTold,      // the ring was full: so many samples, the ring says
    kLossFlagged,   // the sound system says that there was a loss, not how much
    kLossUntold,    // nobody says anything
    kUnplugged,     // the microphone is gone for a while
    kDead,          // digital silence
    kClipped,       // at full scale most of the time
    kHum,           // mains over everything
    kContactsLost,  // the contact module does not answer
    kStrayEdges,    // contacts that close for no reason
    kDoubledEdges,  // real edges come twice
    kBounce,        // contacts that bounce
    kClockStep,     // the computer's UTC is an hour wrong, then right again
    kFilesFull,     // clips and shift files find no space …
    kFilesReadOnly, // … or a disk that takes nothing …
    kFilesSlow,     // … or a slow one
    kDiskFull,      // nothing in this process can make a file longer
    kStoreLocked,   // another program holds the record store
    kReceiverDead,  // the receiver of alarms refuses connections …
    kReceiverAngry, // … or answers 500 …
    kReceiverHangs, // … or never answers
    kReload,        // the settings are read anew
    kReloadBroken,  // … and can't be taken
    kRestart,       // stopped in good order and started again
    kCrash,         // ended without a word and started again
};
inline constexpr std::size_t kFaultKinds = static_cast<std::size_t>(FaultKind::kCrash) + 1;
std::string_view name_of(FaultKind kind);

struct Fault {
    FaultKind kind = FaultKind::kNone;
    double start_s = 0.0;
    double end_s = 0.0;
    double sign = 1.0; // of a clock step
};

struct PlacedReel {
    double start_s = 0.0;
    std::size_t reel = 0;
};

// People at the line; the microphone has power from power_on_s to power_off_s.
struct Work {
    double power_on_s = 0.0;
    double start_s = 0.0;
    double end_s = 0.0;
    double power_off_s = 0.0;
    std::vector<PlacedReel> reels;
};

// The daemon is there.
struct RunSpan {
    double start_s = 0.0;
    double end_s = 0.0;
    bool crash = false; // how it ends
};

struct PlanWish {
    int days = 22;            // with work
    double shift_hours = 8.0; // of work in each shift, at most; one reel at least
    double slot_s = 1200.0;   // one fault, or none, in each
    std::uint64_t seed = 1;
};

struct Plan {
    std::vector<Work> works;
    std::vector<Fault> faults;                   // in order of start, apart from each other
    std::vector<RunSpan> runs;                   // in order, apart from each other
    std::vector<ScriptedSource::Change> changes; // in order
    std::vector<Animal> animals;                 // in order of entry
    std::vector<double> made_closures_s;         // of stray and doubled edges
    std::vector<double> day_ends_s;              // the last moment of work of each day
};

// zero_utc_ns: UTC of world second 0. Works in each shift of the schedule, from ten minutes after its start.
Plan make_plan(const PlanWish& wish, const std::vector<Reel*>& reels, const Schedule& schedule,
               std::int64_t zero_utc_ns, std::size_t contacts);

} // namespace quietpass::soak
