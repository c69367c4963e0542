#include "daemon/ledger/chain_check.h"

namespace quietpass {

ChainCheck::ChainCheck(const LedgerTrust& trust, const ChainHash& previous) : signatures_(trust, verdict_) {
    verdict_.last_hash = previous;
}

bool ChainCheck::add(std::int64_t seq, const std::string& kind, const std::string& line,
                     const ChainHash& hash) {
    if (hash_of(line) != hash) return false;
    if (kind == "keys" || kind == "heads") {
        if (auto misfit = signatures_.add(seq, kind, line, verdict_.last_hash)) {
            verdict_.misfit = std::move(misfit);
            return false;
        }
    }
    if (verdict_.records == 0) verdict_.first_seq = seq;
    ++verdict_.records;
    verdict_.last_seq = seq;
    verdict_.last_hash = hash;
    return true;
}

} // namespace quietpass
