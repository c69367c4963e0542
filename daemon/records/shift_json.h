// shift.json: the figures of one shift. FORMATS.md has the keys and their order.
//
// Out: the whole file's bytes; the same record gives the same bytes. Percentages have two decimals, shares
// four, seconds three. Pure.
#pragma once

#include <string>

#include "daemon/shifts/shift_record.h"

namespace quietpass {

std::string shift_json(const ShiftRecord& record);

} // namespace quietpass
