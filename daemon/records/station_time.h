// The time of a store's station: that of its latest shift. Moments that people give are local or UTC; local
// ones are refused while no shift says in which zone. Errors: Failure (exit 2) with what was expected.
// Immutable; any thread.
#pragma once

#include <cstdint>
#include <string>

#include "daemon/records/local_time.h"

namespace SQLite {
class Database;
}

namespace quietpass {

class StationTime {
  public:
    explicit StationTime(const std::string& timezone); // empty: not known

    const LocalTime& local() const { return local_; }

    // `where` is what the text was given as: an option, a field.
    std::int64_t moment(const std::string& where, const std::string& text) const;

  private:
    bool known_;
    LocalTime local_;
};

// Inside the caller's transaction. Errors: SQLite::Exception too.
StationTime station_time(SQLite::Database& database);

} // namespace quietpass
