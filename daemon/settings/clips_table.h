// [clips] of the station file. Errors: Failure (exit 2), as StrictTable.
#pragma once

#include "daemon/settings/clip_settings.h"
#include "daemon/settings/strict_table.h"

namespace quietpass {

void read_clips(StrictTable& table, ClipSettings& clips);

} // namespace quietpass
