// The shifts of a run chart, as the store has them: those with a date, of the station and species that the
// latest of them is of, oldest first; what lies between the shifts of the plan only where an animal came
// then. From one moment of the store. Errors: SQLite::Exception. One thread a database.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/records/store_rows.h"

namespace quietpass {

struct ChartFilter {
    std::optional<std::int64_t> from_utc_ns; // shifts that begin from here …
    std::optional<std::int64_t> to_utc_ns;   // … and before here
    int most = 400;                          // the latest of them
};

struct ChartedShift {
    StoredShift shift;
    std::string amendment_json; // the last one; empty: none
    // Of a shift without a record, counted so far.
    std::int64_t passages = 0;
    std::int64_t scored = 0;
    std::int64_t vocal = 0;   // of the scored
    std::int64_t animals = 0; // passages that were one
    std::int64_t covered = 0; // of these
};

struct ChartedShifts {
    std::vector<ChartedShift> shifts;
    bool more = false; // earlier ones of the span were left out
};

ChartedShifts read_charted_shifts(SQLite::Database& database, const ChartFilter& filter);

} // namespace quietpass
