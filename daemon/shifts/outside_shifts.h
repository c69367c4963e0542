// The name of the record of what lies between the shifts of the plan.
#pragma once

namespace quietpass {

inline constexpr const char* kOutsideShifts = "outside";

} // namespace quietpass
