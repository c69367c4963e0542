// What the station has written so far: the store, the ledger with the key that signs it, and, where a daemon
// listens, what it heard and read last. None of these throws. One thread.
#pragma once

#include <cstdint>
#include <filesystem>

#include "daemon/checks/check_line.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

// The store's version, the ledger's head and its signature. The whole ledger is `quietpass verify`'s
// business.
CheckLines check_records(const StationSettings& settings, const std::filesystem::path& out,
                         std::int64_t utc_ns);
// Of a daemon that listens: each microphone's last minute, each contact's last edge and fault.
CheckLines check_heard(const StationSettings& settings, const std::filesystem::path& out,
                       std::int64_t utc_ns);

} // namespace quietpass
