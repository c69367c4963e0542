#include "daemon/records/station_time.h"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <optional>

#include "daemon/failure.h"

namespace quietpass {

StationTime::StationTime(const std::string& timezone)
    : known_(!timezone.empty()), local_(known_ ? timezone : "UTC") {}

std::int64_t StationTime::moment(const std::string& where, const std::string& text) const {
    const std::optional<std::int64_t> utc_ns = local_.moment(text);
    if (utc_ns && (known_ || text.ends_with('Z'))) return *utc_ns;
    const std::string what = where + " " + text + ": ";
    if (utc_ns) {
        throw Failure(kExitUsage, what +
                                      "no shift in the store says which time zone this is; give UTC as in "
                                      "2026-03-02T13:00:00Z");
    }
    throw Failure(kExitUsage, what +
                                  "expected the station's time as in \"2026-03-02 06:00\", or UTC as in "
                                  "2026-03-02T13:00:00Z");
}

StationTime station_time(SQLite::Database& database) {
    SQLite::Statement query(database, "SELECT timezone FROM shifts ORDER BY shift_id DESC LIMIT 1");
    return StationTime(query.executeStep() ? query.getColumn(0).getString() : std::string());
}

} // namespace quietpass
