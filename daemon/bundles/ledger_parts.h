// Which stretches of the ledger prove what is in a case: each from the first record concerned up to the
// signed head after the last, or, where none was signed since, to the last alone. Several, so that what
// happened between a shift and a complaint months later stays in the plant.
//
// Within the caller's snapshot. Errors: SQLite::Exception; as write_ledger_file(). One thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <vector>

#include "daemon/bundles/record_ranges.h"
#include "daemon/records/case_file.h"
#include "daemon/records/files.h"

namespace quietpass {

struct LedgerPart {
    std::int64_t from_seq = 0;
    std::int64_t to_seq = 0;
    bool vouched_for = false; // ends at or after a signed head over all that is concerned
};

// What the case's passages, calls, clips, findings and steps stand on.
std::vector<RecordRange> records_of(SQLite::Database& database, const CaseFile& file);

// In order, none touching the next.
std::vector<LedgerPart> ledger_parts(SQLite::Database& database, const std::vector<RecordRange>& records);

// The hash of each range's last record, hex.
std::vector<std::string> last_hashes(SQLite::Database& database, const std::vector<RecordRange>& records);

// "ledger/part-1.tsv" and so on (daemon/ledger/ledger_file.h).
std::vector<NamedBytes> ledger_files(SQLite::Database& database, const std::vector<LedgerPart>& parts);

} // namespace quietpass
