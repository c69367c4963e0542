#include "daemon/reports/report_rows.h"

#include <SQLiteCpp/Statement.h>

#include <algorithm>
#include <limits>

#include "daemon/records/alarm_event_rows.h"
#include "daemon/records/people_rows.h"
#include "daemon/records/row_reader.h"
#include "daemon/records/span_reader.h"
#include "daemon/records/worked_shifts.h"

namespace quietpass {

namespace {

// A hand audit may give an entry by the person's watch.
constexpr std::int64_t kWatchOff_ns = 10'000'000'000;
constexpr std::int64_t kAlways = std::numeric_limits<std::int64_t>::max();

std::vector<StoredShift> shifts_of(SQLite::Database& database, SQLite::Statement& ids) {
    std::vector<StoredShift> shifts;
    while (ids.executeStep()) {
        if (auto shift = read_stored_shift(database, ids.getColumn(0).getInt64())) shifts.push_back(*shift);
    }
    return shifts;
}

std::vector<StoredShift> own_shifts(SQLite::Database& database, const ReportSpan& span) {
    if (span.kind == SpanKind::kShift) {
        const auto shift = read_stored_shift(database, span.shift_id);
        return shift ? std::vector<StoredShift>{*shift} : std::vector<StoredShift>{};
    }
    SQLite::Statement ids(database,
                          "SELECT shift_id FROM shifts WHERE start_utc_ns >= ? AND start_utc_ns < ? AND " +
                              worked_shifts() + " ORDER BY shift_id");
    ids.bind(1, span.from_utc_ns.value_or(std::numeric_limits<std::int64_t>::min()));
    ids.bind(2, span.to_utc_ns.value_or(kAlways));
    return shifts_of(database, ids);
}

// What another station wrote into the same store is no part of this one's course.
std::vector<StoredShift> recent_shifts(SQLite::Database& database, const ReportRows& rows) {
    const StoredShift& last = rows.shifts.back();
    SQLite::Statement ids(database,
                          "SELECT shift_id FROM shifts JOIN shift_records USING (shift_id) WHERE shift_id <= "
                          "? AND station = ? AND species = ? AND " +
                              worked_shifts() + " ORDER BY shift_id DESC LIMIT ?");
    ids.bind(1, last.shift_id);
    ids.bind(2, last.station);
    ids.bind(3, std::string(name_of(last.species)));
    ids.bind(4, static_cast<std::int64_t>(std::max(kChartShifts, rows.shifts.size())));
    std::vector<StoredShift> shifts = shifts_of(database, ids);
    std::reverse(shifts.begin(), shifts.end());
    return shifts;
}

void read_signatures(SQLite::Database& database, ReportRows& rows) {
    SQLite::Statement heads(
        database,
        "SELECT heads.of_seq, heads.hash, heads.utc_ns, key_id, signature FROM "
        "shift_records JOIN heads ON heads.of_seq = shift_records.seq WHERE shift_id = ?");
    SQLite::Statement amendments(
        database, "SELECT record_json FROM amendments WHERE shift_id = ? ORDER BY number DESC LIMIT 1");
    for (const StoredShift& shift : rows.shifts) {
        heads.bind(1, shift.shift_id);
        if (heads.executeStep()) {
            SignedHead& head = rows.signatures[shift.shift_id];
            head.of_seq = heads.getColumn(0).getInt64();
            head.hash = chain_hash_from(heads.getColumn(1).getString()).value_or(kChainStart);
            head.utc_ns = heads.getColumn(2).getInt64();
            head.key_id = heads.getColumn(3).getString();
            head.signature = heads.getColumn(4).getString();
        }
        heads.reset();
        amendments.bind(1, shift.shift_id);
        if (amendments.executeStep()) {
            rows.amendments[shift.shift_id] = amendments.getColumn(0).getString();
        }
        amendments.reset();
    }
}

void read_people(SQLite::Database& database, ReportRows& rows) {
    HandAuditSpan audits;
    audits.first_shift_id = rows.shifts.front().shift_id;
    audits.last_shift_id = rows.shifts.back().shift_id;
    const std::optional<std::int64_t> from = rows.shifts.front().start_utc_ns;
    if (from) {
        const std::int64_t to = rows.shifts.back().end_utc_ns.value_or(kAlways - kWatchOff_ns);
        rows.alarm_events = read_alarms_between(database, *from, to);
        audits.from_utc_ns = *from - kWatchOff_ns;
        audits.to_utc_ns = to + kWatchOff_ns;
        std::int64_t journal_from = *from;
        if (!rows.recent.empty() && rows.recent.front().start_utc_ns) {
            journal_from = std::min(journal_from, *rows.recent.front().start_utc_ns);
        }
        rows.journal = read_journal_between(database, journal_from, to);
    }
    rows.audited = read_hand_audit_rows(database, audits);
}

} // namespace

ReportRows read_report_rows(const Store& store, const ReportSpan& span) {
    ReportRows rows;
    store.read([&](SQLite::Database& database) {
        rows.shifts = own_shifts(database, span);
        if (rows.shifts.empty()) return;
        rows.recent = recent_shifts(database, rows);
        for (const StoredShift& shift : rows.shifts) {
            if (shift.end_s) rows.passages.push_back(read_passages_of(database, shift));
        }
        read_people(database, rows);
        read_signatures(database, rows);
    });
    return rows;
}

std::int64_t latest_closed_shift(const Store& store) {
    std::int64_t shift_id = 0;
    store.read([&](SQLite::Database& database) {
        shift_id = database
                       .execAndGet(
                           "SELECT coalesce(max(shift_id), 0) FROM shift_records JOIN shifts USING "
                           "(shift_id) WHERE " +
                           worked_shifts())
                       .getInt64();
    });
    return shift_id;
}

} // namespace quietpass
