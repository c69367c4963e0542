// The ledger's parts in a bundle: that each fits together, that one of them has the record of this export,
// and that no record which this one says belongs to the bundle is missing or another (record_ranges.h).
//
// From their bytes alone. Errors: none; what doesn't fit is said. Any thread.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "daemon/ledger/ledger_verdict.h"

namespace quietpass {

using ZipFiles = std::map<std::string, std::string>; // name: bytes

// "ledger/part-1.tsv" and so on.
bool is_ledger_part(const std::string& name);

struct BundleLedger {
    std::string misfit; // the first thing that doesn't fit; empty: all does
    std::uint64_t records = 0;
    std::string case_words; // "case 3, exported 2026-… by …"
    bool masked = true;
    std::string signed_by; // the public key that vouches for the record of the export; empty: none does
    std::vector<std::string> notes;
};

// sums_sha256: of the list of files, by which the record of the export is known.
BundleLedger check_bundle_ledger(const ZipFiles& files, const std::string& sums_sha256,
                                 const LedgerTrust& trust);

} // namespace quietpass
