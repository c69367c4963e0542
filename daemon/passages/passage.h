// One animal going through the station, and the phases of its passage. Times are station seconds.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace quietpass {

enum class Phase { kEntry, kBodyHeld, kHeld, kAtStun, kAfterStun };

std::string_view name_of(Phase phase); // "entry", "body_held", "held", "at_stun", "after_stun"

// A time that was never seen (its contact is not wired, or did not close).
inline constexpr double kNever = std::numeric_limits<double>::quiet_NaN();

struct Passage {
    std::int64_t id = 0; // from 1, in order of entry
    double entered_s = 0.0;
    double body_held_s = kNever;
    double held_s = kNever;
    double stunned_s = kNever;  // the first stun, or the cut on a station with `cut`
    double released_s = kNever; // seen on the contact; the passage's end is end_s
    double end_s = 0.0;
    int calls = 0;       // counted calls
    bool vocal = false;  // calls > 0
    bool covered = true; // heard from entered_s to the stun (to end_s where there was none)
    int calls_at_stun = 0;
    int calls_after_stun = 0;
    int stuns = 0;
    int prods = 0;
    // Bangs while it was held and not yet stunned that are not the equipment's; empty where no hold was seen.
    std::optional<int> bangs;
    // What kept it from being scored: "silent", "overrun", …, "stun_not_seen", "no_animal"; empty = scored.
    std::string excluded;
    std::vector<std::string> flags; // what was odd: "no_stun", "second_stun", "never_released", …

    // Seconds; kNever where either end is missing. "Stun" is the cut on a station with `cut`.
    double body_held_for_s() const { return stunned_s - body_held_s; } // from the body's hold to the stun
    double held_for_s() const { return stunned_s - held_s; }           // from the head's hold to the stun
    double to_stun_s() const { return stunned_s - entered_s; }         // from the entry to the stun
    double restrained_for_s() const { return released_s - entered_s; } // from the entry to the release
};

// A second stun, as far as the contacts tell when it happens.
struct SecondStun {
    std::optional<std::int64_t> passage_id; // none: its number isn't known yet
    double first_s = kNever;
    double again_s = kNever;
    int stuns = 0;
};

} // namespace quietpass
