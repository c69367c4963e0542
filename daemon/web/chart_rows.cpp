#include "daemon/web/chart_rows.h"

#include <SQLiteCpp/Statement.h>

#include <algorithm>
#include <limits>

#include "daemon/records/row_reader.h"
#include "daemon/records/worked_shifts.h"

namespace quietpass {

namespace {

std::vector<std::int64_t> ids_of(SQLite::Database& database, const ChartFilter& filter) {
    SQLite::Statement query(
        database, "SELECT shift_id FROM shifts WHERE start_utc_ns >= ?1 AND start_utc_ns < ?2 AND " +
                      worked_shifts() + " ORDER BY start_utc_ns DESC, shift_id DESC");
    query.bind(1, filter.from_utc_ns.value_or(std::numeric_limits<std::int64_t>::min()));
    query.bind(2, filter.to_utc_ns.value_or(std::numeric_limits<std::int64_t>::max()));
    std::vector<std::int64_t> ids;
    while (query.executeStep()) ids.push_back(query.getColumn(0).getInt64());
    return ids;
}

void count_so_far(SQLite::Database& database, ChartedShift& charted) {
    SQLite::Statement query(database,
                            "SELECT count(*), sum(excluded = ''), sum(excluded = '' AND vocal = 1), "
                            "sum(excluded <> 'no_animal'), "
                            "sum(excluded <> 'no_animal' AND covered = 1) FROM passages WHERE shift_id = ?");
    query.bind(1, charted.shift.shift_id);
    if (!query.executeStep()) return;
    charted.passages = query.getColumn(0).getInt64();
    charted.scored = query.getColumn(1).getInt64();
    charted.vocal = query.getColumn(2).getInt64();
    charted.animals = query.getColumn(3).getInt64();
    charted.covered = query.getColumn(4).getInt64();
}

} // namespace

ChartedShifts read_charted_shifts(SQLite::Database& database, const ChartFilter& filter) {
    SQLite::Statement amendment(
        database, "SELECT record_json FROM amendments WHERE shift_id = ? ORDER BY number DESC LIMIT 1");
    ChartedShifts found;
    for (const std::int64_t id : ids_of(database, filter)) {
        const auto stored = read_stored_shift(database, id);
        if (!stored) continue;
        if (!found.shifts.empty()) {
            const StoredShift& latest = found.shifts.front().shift;
            if (stored->station != latest.station || stored->species != latest.species) continue;
        }
        if (static_cast<int>(found.shifts.size()) == filter.most) {
            found.more = true;
            break;
        }
        ChartedShift charted;
        charted.shift = *stored;
        if (stored->record_json.empty()) count_so_far(database, charted);
        amendment.bind(1, id);
        if (amendment.executeStep()) charted.amendment_json = amendment.getColumn(0).getString();
        amendment.reset();
        found.shifts.push_back(std::move(charted));
    }
    std::reverse(found.shifts.begin(), found.shifts.end());
    return found;
}

} // namespace quietpass
