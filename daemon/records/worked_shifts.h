// In SQL, of a row of `shifts`: planned, or with an animal in it. A night that nobody worked in is no shift.
#pragma once

#include <string>

#include "daemon/shifts/outside_shifts.h"

namespace quietpass {

inline std::string worked_shifts() {
    return std::string("(shifts.name <> '") + kOutsideShifts +
           "' OR EXISTS (SELECT 1 FROM passages WHERE passages.shift_id = shifts.shift_id))";
}

} // namespace quietpass
