#include "daemon/bundles/bundle_check.h"

#include <algorithm>
#include <set>
#include <sstream>

#include "daemon/bundles/bundle_ledger.h"
#include "daemon/failure.h"
#include "daemon/records/sha256.h"

namespace quietpass {

namespace {

constexpr const char* kSums = "SHA256SUMS";

// That the files are those of the list, no more and no less.
std::string misfit_of_list(const ZipFiles& files, const std::string& sums, std::size_t& count) {
    std::set<std::string> listed;
    std::istringstream lines(sums);
    for (std::string line; std::getline(lines, line);) {
        if (line.size() < 67 || line.compare(64, 2, "  ") != 0)
            return "SHA256SUMS: \"" + line + "\" is no line of it";
        const std::string name = line.substr(66);
        const auto found = files.find(name);
        if (found == files.end()) return name + " is in SHA256SUMS and not in the bundle";
        if (sha256_hex(found->second) != line.substr(0, 64))
            return name + " was altered: its SHA-256 is another";
        listed.insert(name);
    }
    count = listed.size();
    for (const auto& [name, bytes] : files) {
        if (name != kSums && !is_ledger_part(name) && listed.count(name) == 0) {
            return name + " is in the bundle and not in SHA256SUMS";
        }
    }
    return "";
}

} // namespace

BundleVerdict check_bundle(const std::filesystem::path& file, const LedgerTrust& trust,
                           const ZipLimits& limits) {
    const ZipFiles files = files_of_zip(file, limits);
    const auto sums = files.find(kSums);
    const bool has_part =
        std::any_of(files.begin(), files.end(), [](const auto& file) { return is_ledger_part(file.first); });
    if (sums == files.end() || !has_part) {
        throw Failure(kExitFailure, file.string() + ": this is no bundle of `quietpass export`: it has no " +
                                        (has_part ? kSums : "ledger/part-1.tsv"));
    }
    BundleVerdict verdict;
    verdict.misfit = misfit_of_list(files, sums->second, verdict.files);
    if (!verdict.misfit.empty()) return verdict;
    BundleLedger ledger = check_bundle_ledger(files, sha256_hex(sums->second), trust);
    verdict.misfit = std::move(ledger.misfit);
    verdict.records = ledger.records;
    verdict.case_words = std::move(ledger.case_words);
    verdict.masked = ledger.masked;
    verdict.signed_by = std::move(ledger.signed_by);
    verdict.notes = std::move(ledger.notes);
    return verdict;
}

} // namespace quietpass
