// The kinds of trouble that a second can show, in the order in which they explain each other: what hums or
// blows is also far from the usual level. Plain values.
#pragma once

#include <array>
#include <cstddef>

#include "daemon/capture/gap.h"

namespace quietpass {

enum Sign : std::size_t { kHumSign, kWindSign, kCoveredSign, kLevelFarSign, kSigns };

// true where the second shows it.
using Signs = std::array<bool, kSigns>;

inline constexpr std::array<GapCause, kSigns> kCauseOfSign = {GapCause::kHum, GapCause::kWind,
                                                              GapCause::kCoveredUp, GapCause::kLevelFar};

} // namespace quietpass
