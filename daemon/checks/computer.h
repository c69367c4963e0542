// The computer that the station runs on: its clock, the disk with the records, and who may read what.
//
// None of these throws; what can't be found out is said so. Any thread.
#pragma once

#include <filesystem>

#include "daemon/checks/check_line.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

// As the system has it (adjtimex): whether a time server sets it, and how wrong it may be.
CheckLines check_clock();
CheckLines check_disk(const StationSettings& settings, const std::filesystem::path& out);
// Of OUT, its accounts and keys: nobody else may read secrets, this user must be able to write.
CheckLines check_permissions(const StationSettings& settings, const std::filesystem::path& out);

} // namespace quietpass
