// What `run` does for the proof before it listens: the store is whole, the station's key is ready, and what
// is in force (station file, profile, calibrations) is among the records. Throws Failure. Set-up.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <string>

#include "daemon/clock.h"
#include "daemon/ledger/head_signer.h"
#include "daemon/profile_file.h"
#include "daemon/records/store.h"
#include "daemon/settings/key_file.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

// SQLite's integrity check; of a store larger than kCheckWhole_bytes without comparing its indexes, which
// would keep the station from listening for minutes.
inline constexpr std::uintmax_t kCheckWhole_bytes = 2'000'000'000;
void refuse_damaged(const Store& store);

// From now on the store signs. say: trouble with the key while the daemon runs, from the store's writer.
void sign_records(Store& store, const StationSettings& settings, const std::filesystem::path& out,
                  const Clock& clock, std::function<void(bool, const std::string&)> say);

// profile: null where the species is not scored.
void record_documents(Store& store, const StationSettings& settings, const ProfileFile* profile,
                      const std::filesystem::path& out, const Clock& clock);

} // namespace quietpass
