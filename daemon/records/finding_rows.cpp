#include "daemon/records/finding_rows.h"

#include <SQLiteCpp/Statement.h>

#include <stdexcept>
#include <string>

#include "daemon/ledger/ledger.h"

namespace quietpass {

namespace {

// " WHERE shift_id = ?" or nothing.
SQLite::Statement of_shift(SQLite::Database& database, const std::string& select, const std::string& order,
                           const std::optional<std::int64_t>& shift_id) {
    SQLite::Statement query(database, select + (shift_id ? " WHERE shift_id = ?" : "") + order);
    if (shift_id) query.bind(1, *shift_id);
    return query;
}

CallVerdict verdict_in(const std::string& word) {
    if (const auto verdict = call_verdict_named(word)) return *verdict;
    throw std::runtime_error("unknown verdict of a finding \"" + word + "\"");
}

} // namespace

std::int64_t add_finding(SQLite::Database& database, const Finding& finding) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    const std::int64_t id =
        database.execAndGet("SELECT coalesce(max(finding_id), 0) + 1 FROM findings").getInt64();
    SQLite::Statement insert(
        database,
        "INSERT INTO findings (seq, finding_id, shift_id, call_id, verdict, just_before, "
        "note, entered_by, utc_ns, withdraws) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    insert.bind(1, seq);
    insert.bind(2, id);
    insert.bind(3, finding.shift_id);
    insert.bind(4, finding.call_id);
    insert.bind(5, std::string(name_of(finding.verdict)));
    insert.bind(6, finding.just_before ? std::string(name_of(*finding.just_before)) : std::string());
    insert.bind(7, finding.note);
    insert.bind(8, finding.by);
    insert.bind(9, finding.utc_ns);
    if (finding.withdraws) insert.bind(10, *finding.withdraws);
    insert.exec();
    ledger.record("findings", seq);
    return id;
}

std::vector<Finding> read_findings(SQLite::Database& database, const std::optional<std::int64_t>& shift_id) {
    SQLite::Statement query =
        of_shift(database,
                 "SELECT finding_id, shift_id, call_id, verdict, just_before, note, entered_by, utc_ns, "
                 "withdraws FROM findings",
                 " ORDER BY finding_id", shift_id);
    std::vector<Finding> findings;
    while (query.executeStep()) {
        Finding finding;
        finding.id = query.getColumn(0).getInt64();
        finding.shift_id = query.getColumn(1).getInt64();
        finding.call_id = query.getColumn(2).getInt64();
        finding.verdict = verdict_in(query.getColumn(3).getString());
        finding.just_before = just_before_named(query.getColumn(4).getString());
        finding.note = query.getColumn(5).getString();
        finding.by = query.getColumn(6).getString();
        finding.utc_ns = query.getColumn(7).getInt64();
        if (!query.getColumn(8).isNull()) finding.withdraws = query.getColumn(8).getInt64();
        findings.push_back(finding);
    }
    return findings;
}

bool has_call(SQLite::Database& database, std::int64_t shift_id, std::int64_t call_id) {
    SQLite::Statement query(database, "SELECT 1 FROM calls WHERE shift_id = ? AND call_id = ?");
    query.bind(1, shift_id);
    query.bind(2, call_id);
    return query.executeStep();
}

bool is_closed(SQLite::Database& database, std::int64_t shift_id) {
    SQLite::Statement query(database, "SELECT 1 FROM shift_records WHERE shift_id = ?");
    query.bind(1, shift_id);
    return query.executeStep();
}

std::int64_t next_amendment(SQLite::Database& database, std::int64_t shift_id) {
    SQLite::Statement query(database,
                            "SELECT coalesce(max(number), 0) + 1 FROM amendments WHERE shift_id = ?");
    query.bind(1, shift_id);
    query.executeStep();
    return query.getColumn(0).getInt64();
}

void add_amendment(SQLite::Database& database, const Amendment& amendment) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    SQLite::Statement insert(
        database,
        "INSERT INTO amendments (seq, shift_id, number, utc_ns, entered_by, record_json) "
        "VALUES (?, ?, ?, ?, ?, ?)");
    insert.bind(1, seq);
    insert.bind(2, amendment.shift_id);
    insert.bind(3, amendment.number);
    insert.bind(4, amendment.utc_ns);
    insert.bind(5, amendment.by);
    insert.bind(6, amendment.record_json);
    insert.exec();
    ledger.record("amendments", seq);
}

std::vector<Amendment> read_amendments(SQLite::Database& database,
                                       const std::optional<std::int64_t>& shift_id) {
    SQLite::Statement query =
        of_shift(database, "SELECT shift_id, number, utc_ns, entered_by, record_json FROM amendments",
                 " ORDER BY shift_id, number", shift_id);
    std::vector<Amendment> amendments;
    while (query.executeStep()) {
        amendments.push_back({query.getColumn(0).getInt64(), query.getColumn(1).getInt64(),
                              query.getColumn(2).getInt64(), query.getColumn(3).getString(),
                              query.getColumn(4).getString()});
    }
    return amendments;
}

} // namespace quietpass
