// The entries of table `ledger` in order, from a number on. Inside the caller's snapshot; one thread. Errors:
// SQLite::Exception.
#pragma once

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <cstdint>
#include <optional>
#include <string>

#include "daemon/ledger/chain.h"

namespace quietpass {

struct LedgerEntry {
    std::int64_t seq = 0;
    std::string kind;
    std::optional<ChainHash> hash; // nothing: not 32 bytes
};

class LedgerEntries {
  public:
    LedgerEntries(SQLite::Database& database, std::int64_t from_seq);
    // False after the last.
    bool next();
    const LedgerEntry& entry() const { return entry_; }

  private:
    SQLite::Statement query_;
    LedgerEntry entry_;
};

} // namespace quietpass
