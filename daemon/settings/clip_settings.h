// [clips] of the station file, checked: which stretches of sound are kept, how, and for how long. Plain
// values; deploy/station.md has the basis of each default.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

namespace quietpass {

// Of which calls there are clips. kHeard: of every one that could count, whoever's it is. kCounted: of those
// that counted, and of calls after the stun.
enum class ClippedCalls { kHeard, kCounted, kNone };

struct ClipSettings {
    ClippedCalls calls = ClippedCalls::kHeard;
    bool alarms = true;
    double before_s = 2.0;
    double after_s = 2.0;
    double longest_s = 120.0;   // what would be longer is cut off here
    double quiet_percent = 1.0; // of the quiet passages that were scored
    std::int64_t quiet_seed = 1;
    // What people say in clips of calls and alarms is made unintelligible before a clip is written. Such a
    // clip can't be unmasked.
    bool mask_speech = false;
    // Everything is kept from here …
    std::optional<std::int64_t> continuous_from_utc_ns;
    std::optional<std::int64_t> continuous_until_utc_ns; // … to here

    int bits = 24;           // 16 or 24
    double memory_s = 180.0; // how much sound is kept in memory, so how late a clip may be wished for

    double keep_days = 60.0;
    double keep_mb = 20000.0;
    double min_free_mb = 4000.0; // with less free space no clip is written
    std::string basis;           // of keep_days: whose rule it is; may be empty

    bool any() const {
        return calls != ClippedCalls::kNone || alarms || quiet_percent > 0.0 || continuous_until_utc_ns;
    }
};

} // namespace quietpass
