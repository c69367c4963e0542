#include "daemon/records/audit_event_rows.h"

#include <SQLiteCpp/Statement.h>

#include <limits>
#include <stdexcept>

#include "daemon/ledger/ledger.h"
#include "daemon/records/null_columns.h"

namespace quietpass {

namespace {

constexpr const char* kEventColumns =
    "SELECT event_id, audit_id, event, utc_ns, entered_by, auditor, takes_back, shift_id, passage_id, "
    "at_utc_ns, vocal, note FROM hand_audit_events ";

AuditStep step_named(const std::string& word) {
    for (const AuditStep step : kAuditSteps) {
        if (name_of(step) == word) return step;
    }
    throw std::runtime_error("unknown event of a hand audit \"" + word + "\"");
}

std::vector<AuditEvent> events_in(SQLite::Statement& query) {
    std::vector<AuditEvent> events;
    while (query.executeStep()) {
        AuditEvent event;
        event.id = query.getColumn(0).getString();
        event.audit_id = query.getColumn(1).getInt64();
        event.step = step_named(query.getColumn(2).getString());
        event.utc_ns = query.getColumn(3).getInt64();
        event.by = query.getColumn(4).getString();
        event.auditor = query.getColumn(5).getString();
        event.takes_back = query.getColumn(6).getString();
        event.shift_id = whole_or_null(query.getColumn(7));
        event.passage_id = whole_or_null(query.getColumn(8));
        event.at_utc_ns = whole_or_null(query.getColumn(9));
        event.vocal = query.getColumn(10).getInt() != 0;
        event.note = query.getColumn(11).getString();
        events.push_back(event);
    }
    return events;
}

} // namespace

std::int64_t next_audit_id(SQLite::Database& database) {
    return database
        .execAndGet(
            "SELECT 1 + max((SELECT coalesce(max(audit_id), 0) FROM hand_audits), "
            "(SELECT coalesce(max(audit_id), 0) FROM hand_audit_events))")
        .getInt64();
}

void add_audit_event(SQLite::Database& database, const AuditEvent& event) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    SQLite::Statement insert(database,
                             "INSERT INTO hand_audit_events (seq, event_id, audit_id, event, utc_ns, "
                             "entered_by, auditor, takes_back, shift_id, passage_id, at_utc_ns, vocal, "
                             "note) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    insert.bind(1, seq);
    insert.bind(2, event.id);
    insert.bind(3, event.audit_id);
    insert.bind(4, std::string(name_of(event.step)));
    insert.bind(5, event.utc_ns);
    insert.bind(6, event.by);
    insert.bind(7, event.auditor);
    insert.bind(8, event.takes_back);
    bind_or_null(insert, 9, event.shift_id);
    bind_or_null(insert, 10, event.passage_id);
    bind_or_null(insert, 11, event.at_utc_ns);
    if (event.step == AuditStep::kScored)
        insert.bind(12, event.vocal ? 1 : 0);
    else
        insert.bind(12);
    insert.bind(13, event.note);
    insert.exec();
    ledger.record("hand_audit_events", seq);
}

std::optional<AuditEvent> read_audit_event(SQLite::Database& database, const std::string& id) {
    SQLite::Statement query(database, std::string(kEventColumns) + "WHERE event_id = ?");
    query.bind(1, id);
    const std::vector<AuditEvent> found = events_in(query);
    return found.empty() ? std::nullopt : std::optional(found.front());
}

std::vector<AuditEvent> read_audit_events(SQLite::Database& database, std::int64_t audit_id) {
    SQLite::Statement query(database, std::string(kEventColumns) + "WHERE audit_id = ? ORDER BY seq");
    query.bind(1, audit_id);
    return events_in(query);
}

std::vector<std::int64_t> read_newest_audits(SQLite::Database& database,
                                             const std::optional<std::int64_t>& before, int most) {
    SQLite::Statement query(
        database,
        "SELECT audit_id FROM hand_audits WHERE audit_id < ?1 AND withdraws IS NULL AND audit_id NOT IN "
        "(SELECT withdraws FROM hand_audits WHERE withdraws IS NOT NULL) "
        "UNION SELECT s.audit_id FROM hand_audit_events s WHERE s.event = 'started' AND s.audit_id < ?1 AND "
        "NOT EXISTS (SELECT 1 FROM hand_audit_events g WHERE g.audit_id = s.audit_id AND g.event = "
        "'given_up') AND NOT EXISTS (SELECT 1 FROM hand_audits w WHERE w.withdraws = s.audit_id) "
        "ORDER BY audit_id DESC LIMIT ?2");
    query.bind(1, before.value_or(std::numeric_limits<std::int64_t>::max()));
    query.bind(2, most);
    std::vector<std::int64_t> ids;
    while (query.executeStep()) ids.push_back(query.getColumn(0).getInt64());
    return ids;
}

} // namespace quietpass
