// Reads [page]. Errors: Failure (exit 2).
#pragma once

#include <string>

#include "daemon/settings/page_settings.h"
#include "daemon/settings/strict_table.h"

namespace quietpass {

// folder: of the station file, which relative paths start from.
void read_page(StrictTable& table, const std::string& folder, PageSettings& page);

} // namespace quietpass
