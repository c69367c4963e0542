// What `quietpass handaudit compare` and the page say of hand audits: person against machine.
//
// audited_passages: inside the caller's transaction; errors as row_reader.h; one thread. The rest is pure;
// any thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <vector>

#include "daemon/audits/audit_comparison.h"
#include "daemon/records/local_time.h"
#include "daemon/tables/table.h"

namespace quietpass {

// Most seconds between the person's and the machine's time of one entry; common practice, no source.
inline constexpr double kUsualEntryWithin_s = 10.0;

// The passages that these rows may be of: of the shifts that they name, and of those that their times lie in.
SpanRows audited_passages(SQLite::Database& database, const std::vector<HandAuditRow>& rows,
                          double entry_within_s);

Statement audit_statement(const std::vector<HandAuditRow>& rows, const SpanRows& machine,
                          double entry_within_s, const LocalTime& time);

} // namespace quietpass
