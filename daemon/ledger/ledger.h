// Chains rows of evidence tables: a record's hash covers the one before it (chain.h) and stands in the table
// `ledger` from the same transaction on that brought the row.
//
// Use, inside the caller's IMMEDIATE transaction:
//   seq = ledger.next_seq();                  bind it as the row's seq
//   insert the row                            a repeated one that changes nothing uses up no number
//   ledger.record("passages", seq);           where a row was added
// One Ledger serves many transactions of its connection. Not thread-safe.
//
// Errors: SQLite::Exception; std::logic_error for a row that isn't there or a seq that isn't the next.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <memory>
#include <string_view>

#include "daemon/ledger/chain.h"

namespace quietpass {

class Ledger {
  public:
    explicit Ledger(SQLite::Database& database);
    ~Ledger();
    Ledger(const Ledger&) = delete;
    Ledger& operator=(const Ledger&) = delete;

    std::int64_t next_seq();

    // Reads the row back, as it is stored, makes its line and chains it.
    void record(std::string_view table, std::int64_t seq);

    // The last record and its hash; seq 0 and kChainStart in an empty store.
    struct Last {
        std::int64_t seq = 0;
        ChainHash hash = kChainStart;
    };
    Last last();

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
