// Checks a bundle from its bytes alone: that its files are those of its list, that the list is the one in the
// record of the export, that the ledger's parts fit together and none is missing, and which key signed for
// it.
//
// Nothing is written to the disk (zip_file.h). Errors: Failure (exit 1) for what is no bundle or is refused.
// Any thread.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "daemon/bundles/zip_file.h"
#include "daemon/ledger/ledger_verdict.h"

namespace quietpass {

struct BundleVerdict {
    std::string misfit;        // the first thing that doesn't fit; empty: all does
    std::size_t files = 0;     // of the list
    std::uint64_t records = 0; // of the ledger's parts
    std::string case_words;    // "case 3, exported 2026-… by …"
    bool masked = true;
    std::string signed_by;          // the public key that vouches for all of it; empty: none does
    std::vector<std::string> notes; // what a person should know, though all fits
};

BundleVerdict check_bundle(const std::filesystem::path& file, const LedgerTrust& trust = {},
                           const ZipLimits& limits = {});

} // namespace quietpass
