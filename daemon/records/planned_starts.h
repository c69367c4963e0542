// When shifts began by the plan. A run that starts in mid-shift opens a shift of the store at that moment;
// the station file that its shift record names, kept in the store, has the hours. Of an open shift, whose
// record is still to be made, the station file that came into force last has them.
//
// Nothing is known of a shift without a schedule, of one without UTC, and where the file is not in the store
// (offline scoring) or has no such shift then. Errors: SQLite::Exception. Not thread-safe; one moment of the
// store.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>

#include "daemon/records/store_rows.h"
#include "daemon/shifts/schedule.h"

namespace quietpass {

class PlannedStarts {
  public:
    explicit PlannedStarts(SQLite::Database& database) : database_(database) {}

    // UTC nanoseconds, at the shift's start or before it.
    std::optional<std::int64_t> of(const StoredShift& shift);

  private:
    const std::optional<Schedule>& schedule_of(const std::string& file_sha256, const std::string& timezone);

    SQLite::Database& database_;
    std::map<std::pair<std::string, std::string>, std::optional<Schedule>> schedules_; // of those two
};

} // namespace quietpass
