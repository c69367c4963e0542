// The tables findings and amendments. FORMATS.md has the columns. Within the caller's transaction
// (Store::change, Store::read). Errors: SQLite::Exception; std::runtime_error for a word that no program
// wrote. One thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <optional>
#include <vector>

#include "daemon/records/amendment.h"
#include "daemon/records/finding.h"

namespace quietpass {

// Gives its id.
std::int64_t add_finding(SQLite::Database& database, const Finding& finding);

// In the order entered, withdrawn ones and withdrawals among them; of one shift or of all.
std::vector<Finding> read_findings(SQLite::Database& database,
                                   const std::optional<std::int64_t>& shift_id = {});

bool has_call(SQLite::Database& database, std::int64_t shift_id, std::int64_t call_id);
bool is_closed(SQLite::Database& database, std::int64_t shift_id);

// The number that the next one of this shift has.
std::int64_t next_amendment(SQLite::Database& database, std::int64_t shift_id);
void add_amendment(SQLite::Database& database, const Amendment& amendment);

// By shift and number; of one shift or of all.
std::vector<Amendment> read_amendments(SQLite::Database& database,
                                       const std::optional<std::int64_t>& shift_id = {});

} // namespace quietpass
