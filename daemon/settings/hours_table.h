// The keys `start`, `end` and `days` of a table of the station file, by which [[shift]] and quiet times name
// hours of the week. Errors: Failure (exit 2), as StrictTable.
#pragma once

#include "daemon/settings/shift_settings.h"
#include "daemon/settings/strict_table.h"

namespace quietpass {

void read_hours(StrictTable& table, ShiftSettings& hours);

} // namespace quietpass
