// ledger.tsv: records of a store, or a part of them, as lines that anybody can check without the store.
//
//   # quietpass ledger 1
//   # previous HASH                  of the record before the first one; 64 zeros before record 1
//   # key PUBLIC_KEY                 in force before the first record; none before record 1
//   SEQ<TAB>HASH<TAB>CANONICAL LINE  a record a line
//
// Keys and signed heads are records among the others. Hashes and keys are lower-case hex. FORMATS.md says how
// to check it with sha256sum; tests/ledger/verify_ledger.py does it in another language.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <iosfwd>
#include <optional>

#include "daemon/ledger/ledger_verdict.h"

namespace quietpass {

// Writes the records from_seq to to_seq, inside a snapshot of the caller's. Errors: SQLite::Exception;
// Failure (exit 1) for a record in between that the store lacks; what `out` throws or is set to. It checks
// nothing else: check_ledger_file() does.
void write_ledger_file(SQLite::Database& database, std::int64_t from_seq, std::int64_t to_seq,
                       std::ostream& out);

// One pass, bounded memory. Text that is no ledger file is a misfit (kUnreadable).
LedgerVerdict check_ledger_file(std::istream& in, const LedgerTrust& trust = {});

// The first signed head over this record or a later one: what a part must reach to be vouched for. The seq of
// the head's own record (to_seq of the part); nothing when none was signed since.
std::optional<std::int64_t> head_record_covering(SQLite::Database& database, std::int64_t seq);

} // namespace quietpass
