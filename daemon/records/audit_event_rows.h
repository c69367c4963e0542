// SQL of hand audits that are scored animal by animal. Rows are only added, each chained in the ledger.
//
// add_…: within the caller's transaction (Store::change). Errors: SQLite::Exception; std::runtime_error for a
// word in the store that this program doesn't know. Not thread-safe.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/records/audit_event.h"

namespace quietpass {

// A number that no audit has, finished or not.
std::int64_t next_audit_id(SQLite::Database& database);

void add_audit_event(SQLite::Database& database, const AuditEvent& event);

std::optional<AuditEvent> read_audit_event(SQLite::Database& database, const std::string& id);

// Of one audit, in the order entered.
std::vector<AuditEvent> read_audit_events(SQLite::Database& database, std::int64_t audit_id);

// Audits begun, handed in and in force, newest first: those before this one where it is given.
std::vector<std::int64_t> read_newest_audits(SQLite::Database& database,
                                             const std::optional<std::int64_t>& before, int most);

} // namespace quietpass
