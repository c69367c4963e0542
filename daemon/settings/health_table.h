// Reads [health]. Errors: Failure (exit 2).
#pragma once

#include "daemon/settings/station_settings.h"
#include "daemon/settings/strict_table.h"

namespace quietpass {

void read_health(StrictTable& table, HealthSettings& health);

} // namespace quietpass
