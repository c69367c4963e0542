// How often a call begins in the second after a bang or a hiss, against all other seconds.
//
// The unit is the second, from an animal's entry to its stun (to its end where there was none), of scored
// passages: a passage as a whole would not do, because a silent one goes on longer and so holds more noise.
// A hiss counts as long as it lasts and a second longer. Calls of any phase; who made a noise is not asked.
// Pure; any thread.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "daemon/factors/factors.h"

namespace quietpass {

// Rows `bang_before` and `hiss_before`, in seconds; none for a kind that was never heard. Noises quieter than
// the settings' edges don't count.
std::vector<FactorRow> noise_rows(std::span<const PassageFacts> facts, const FactorSettings& settings);

} // namespace quietpass
