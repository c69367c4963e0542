// The tables whose rows are evidence: each row is a record of the ledger by its `seq`, and rows are only
// added. A new one is named here, made in daemon/records/store_tables.cpp and described in FORMATS.md.
#pragma once

#include <SQLiteCpp/Database.h>

#include <array>
#include <string>
#include <string_view>

namespace quietpass {

inline constexpr std::array<std::string_view, 27> kEvidenceTables = {
    "shifts",         "microphones",  "edges",    "contact_faults",  "gaps",       "noises",
    "passages",       "calls",        "journal",  "hand_audits",     "documents",  "microphone_minutes",
    "shift_records",  "amendments",   "clips",    "hand_audit_rows", "clip_holds", "alarm_events",
    "clip_deletions", "calibrations", "findings", "cases",           "accesses",   "case_events",
    "keys",           "heads",        "hand_audit_events"};

// Triggers that refuse to change or delete a row of an evidence table or of the ledger.
void make_append_only(SQLite::Database& database);
void make_append_only(SQLite::Database& database, const std::string& table);

} // namespace quietpass
