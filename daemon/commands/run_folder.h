// The daemon's folder, held against a second daemon for as long as this lives, and the calibrations in it.
// Throws Failure: exit 1 for a folder that can't be made, written or is held; as read_calibrations() for what
// stands there.
#pragma once

#include <filesystem>
#include <string>

#include "daemon/clock.h"
#include "daemon/commands/run_lock.h"
#include "daemon/records/files.h"
#include "daemon/settings/station_settings.h"
#include "daemon/shift_book.h"

namespace quietpass {

class RunFolder {
  public:
    RunFolder(Files& files, const std::string& folder);

    const std::filesystem::path& path() const { return path_; }
    std::filesystem::path records() const { return path_ / "records.db"; }
    // The run's edges, by its start.
    std::filesystem::path contacts(std::int64_t utc_ns) const;

    // The latest calibrations go into the settings; the file's hash into the provenance when any was used.
    void calibrate(StationSettings& settings, Provenance& provenance, const Clock& clock) const;

  private:
    std::filesystem::path path_;
    RunLock lock_;
};

} // namespace quietpass
