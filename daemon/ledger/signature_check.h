// Follows the station's keys and signed heads through the records: each key must be vouched for by the one
// before it, each head must be of the record just before it and signed by the key in force. One thread.
#pragma once

#include <optional>
#include <string>

#include "daemon/ledger/ledger_verdict.h"

namespace quietpass {

class SignatureCheck {
  public:
    // verdict: gets the keys, the last trusted head and notes; must outlive it.
    SignatureCheck(const LedgerTrust& trust, LedgerVerdict& verdict);

    // A key that was in force before the first record of a part.
    void know(const std::string& public_key);

    // A record of `keys` or `heads`, whose hash fits; previous: the hash of the record before it.
    std::optional<Misfit> add(std::int64_t seq, const std::string& kind, const std::string& line,
                              const ChainHash& previous);

  private:
    void take(const KnownKey& key, bool vouched);

    const LedgerTrust& trust_;
    LedgerVerdict& verdict_;
    bool trusted_ = false; // the key in force
};

} // namespace quietpass
