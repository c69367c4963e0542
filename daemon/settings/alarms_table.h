// [alarms] of the station file. Errors: Failure (exit 2), as StrictTable.
#pragma once

#include "daemon/settings/alarm_settings.h"
#include "daemon/settings/strict_table.h"

namespace quietpass {

void read_alarms(StrictTable& table, AlarmSettings& alarms);

} // namespace quietpass
