// What checking a ledger found: that each record fits the one before it, or the first that doesn't and why;
// and how far a signature vouches for it. Plain values.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/ledger/chain.h"
#include "daemon/ledger/signed_head.h"

namespace quietpass {

enum class MisfitCause {
    kChanged,         // the row is not what was recorded
    kHashChanged,     // the row is, but the ledger's hash of it is not
    kMissing,         // records between two others are gone, or those at the end
    kInserted,        // a record that was not there
    kOutOfOrder,      // records have changed places
    kRowWithoutEntry, // a row of evidence that the ledger doesn't know
    kEntryWithoutRow, // the ledger knows a row that is gone
    kWrongSignature,  // of a head, or of a new key by the one before it
    kUnknownKey,      // signed by a key that the records don't name, or one that was replaced
    kUnreadable,      // no record at all
};

struct Misfit {
    std::int64_t seq = 0;
    std::string kind; // the table; empty when not known
    MisfitCause cause = MisfitCause::kChanged;
    std::string why; // the rest of "record 17 (passages): …"
};

struct KnownKey {
    std::string id;
    std::string public_key;
};

struct LedgerVerdict {
    std::int64_t first_seq = 0; // of the records checked; 0: none
    std::int64_t last_seq = 0;
    std::uint64_t records = 0;
    ChainHash last_hash = kChainStart;
    std::optional<Misfit> misfit;   // then the rest goes up to it only
    std::optional<SignedHead> head; // the last one that the trusted key vouches for
    std::vector<KnownKey> keys;     // in the order of their use
    std::vector<std::string> notes; // what a person should know, though all fits
};

struct LedgerTrust {
    // The public key (64 hex digits) that the reader has from elsewhere: only heads signed by it, or by keys
    // that it vouches for as those that replaced it, count. Empty: any key that the records name.
    std::string public_key;
};

// "record 17 (passages): changed: …"
std::string words_of(const Misfit& misfit);

} // namespace quietpass
