// Hand audits as the page gets them. Inside the caller's transaction; errors as audit_event_rows.h. Within
// daemon/web only. One thread a database.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>

#include "daemon/records/audit_event.h"

namespace quietpass {

// One that goes on or was handed in, without its scores. Nothing: unknown, given up or withdrawn.
std::optional<nlohmann::ordered_json> audit_json(SQLite::Database& database, std::int64_t id);

// Its scores that count, in the order of scoring.
nlohmann::ordered_json audit_scores_json(SQLite::Database& database, std::int64_t id);

nlohmann::ordered_json score_json(const AuditEvent& score);

} // namespace quietpass
