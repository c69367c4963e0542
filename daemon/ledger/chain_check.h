// Checks records one after another, from a store or from an exported file: each must have the next number and
// the hash that follows from its line and the record before it. One thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "daemon/ledger/ledger_verdict.h"
#include "daemon/ledger/signature_check.h"

namespace quietpass {

class ChainCheck {
  public:
    // previous: the hash of the record before the first one that will come.
    ChainCheck(const LedgerTrust& trust, const ChainHash& previous);
    ChainCheck(const ChainCheck&) = delete;
    ChainCheck& operator=(const ChainCheck&) = delete;

    void know(const std::string& public_key) { signatures_.know(public_key); }

    // The hash that the next record must have.
    ChainHash hash_of(const std::string& line) const { return next_hash(verdict_.last_hash, line); }
    std::int64_t last_seq() const { return verdict_.last_seq; }

    // A record with the next number. False: its hash doesn't fit, or what it signs is wrong (then the verdict
    // has the misfit). A record that doesn't fit is not taken.
    bool add(std::int64_t seq, const std::string& kind, const std::string& line, const ChainHash& hash);

    void fail(Misfit misfit) { verdict_.misfit = std::move(misfit); }
    LedgerVerdict& verdict() { return verdict_; }

  private:
    LedgerVerdict verdict_;
    SignatureCheck signatures_;
};

} // namespace quietpass
