#include "daemon/bundles/bundle_check.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "daemon/failure.h"
#include "daemon/ledger/ledger_file.h"
#include "daemon/records/sha256.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

constexpr const char* kSums = "SHA256SUMS";

using ZipFiles = std::map<std::string, std::string>;

bool is_ledger(const std::string& name) {
    return name.starts_with("ledger/part-") && name.ends_with(".tsv");
}

// Parts in the order of their numbers.
std::vector<std::string> parts_of(const ZipFiles& files) {
    std::vector<std::string> parts;
    for (const auto& [name, bytes] : files) {
        if (is_ledger(name)) parts.push_back(name);
    }
    std::sort(parts.begin(), parts.end(), [](const std::string& a, const std::string& b) {
        return std::pair(a.size(), a) < std::pair(b.size(), b);
    });
    return parts;
}

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
        if (name != kSums && !is_ledger(name) && listed.count(name) == 0) {
            return name + " is in the bundle and not in SHA256SUMS";
        }
    }
    return "";
}

// The record of the export in a part of the ledger: the one whose detail has this list's hash.
struct ExportRecord {
    std::int64_t seq = 0;
    std::string words;
    bool masked = true;
};

std::optional<ExportRecord> export_record(const std::string& part, const std::string& sums_sha256) {
    std::istringstream lines(part);
    for (std::string line; std::getline(lines, line);) {
        const std::size_t start = line.find("\t{\"kind\":\"accesses\"");
        if (start == std::string::npos) continue;
        const auto json = nlohmann::json::parse(line.substr(start + 1), nullptr, false);
        if (!json.is_object()) continue;
        const std::string what = json.value("what", "");
        if (what != "export" && what != "unmasked_export") continue;
        if (!json.value("detail", "").starts_with("SHA256SUMS " + sums_sha256 + ";")) continue;
        ExportRecord record;
        record.seq = json.value("seq", std::int64_t{0});
        record.masked = what == "export";
        record.words = json.value("subject", "") + ", exported " +
                       utc_text(json.value("utc_ns", std::int64_t{0})) + " by " + json.value("who", "");
        return record;
    }
    return std::nullopt;
}

} // namespace

BundleVerdict check_bundle(const std::filesystem::path& file, const LedgerTrust& trust,
                           const ZipLimits& limits) {
    const ZipFiles files = files_of_zip(file, limits);
    const auto sums = files.find(kSums);
    const std::vector<std::string> parts = parts_of(files);
    if (sums == files.end() || parts.empty()) {
        throw Failure(kExitFailure, file.string() + ": this is no bundle of `quietpass export`: it has no " +
                                        (parts.empty() ? "ledger/part-1.tsv" : kSums));
    }
    BundleVerdict verdict;
    verdict.misfit = misfit_of_list(files, sums->second, verdict.files);
    if (!verdict.misfit.empty()) return verdict;
    const std::string sums_sha256 = sha256_hex(sums->second);
    std::optional<ExportRecord> record;
    for (const std::string& name : parts) {
        std::istringstream in(files.at(name));
        const LedgerVerdict part = check_ledger_file(in, trust);
        verdict.records += part.records;
        if (part.misfit) {
            verdict.misfit = name + ": " + words_of(*part.misfit);
            return verdict;
        }
        for (const std::string& note : part.notes) verdict.notes.push_back(name + ": " + note);
        const std::int64_t vouched = part.head ? part.head->of_seq : 0;
        if (const auto found = export_record(files.at(name), sums_sha256)) {
            record = found;
            if (vouched >= found->seq) {
                const auto key = std::find_if(part.keys.begin(), part.keys.end(), [&](const KnownKey& each) {
                    return each.id == part.head->key_id;
                });
                if (key != part.keys.end()) verdict.signed_by = key->public_key;
            }
        } else if (vouched == 0) {
            verdict.notes.push_back(name + ": no signature vouches for this part");
        }
    }
    if (!record) {
        verdict.misfit =
            "SHA256SUMS is not the list of any export in the ledger: files and list were altered";
        return verdict;
    }
    verdict.case_words = record->words;
    verdict.masked = record->masked;
    if (verdict.signed_by.empty()) {
        verdict.notes.push_back("not signed: no signature vouches for the record of this export");
    }
    return verdict;
}

} // namespace quietpass
