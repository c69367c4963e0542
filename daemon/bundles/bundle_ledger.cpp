#include "daemon/bundles/bundle_ledger.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>
#include <sstream>

#include "daemon/bundles/record_ranges.h"
#include "daemon/ledger/ledger_file.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

struct Part {
    std::string name;
    const std::string* text = nullptr;
    LedgerVerdict verdict;
};

// In the order of their numbers.
std::vector<Part> parts_of(const ZipFiles& files) {
    std::vector<Part> parts;
    for (const auto& [name, bytes] : files) {
        if (is_ledger_part(name)) parts.push_back({name, &bytes, {}});
    }
    std::sort(parts.begin(), parts.end(), [](const Part& a, const Part& b) {
        return std::pair(a.name.size(), a.name) < std::pair(b.name.size(), b.name);
    });
    return parts;
}

struct ExportRecord {
    std::int64_t seq = 0;
    std::string words;
    std::optional<RecordList> list;
    bool masked = true;
};

// The one in this part whose detail has the hash of the list of files.
std::optional<ExportRecord> export_record(const std::string& part, const std::string& sums_sha256) {
    const std::string before = "SHA256SUMS " + sums_sha256 + "; records ";
    std::istringstream lines(part);
    for (std::string line; std::getline(lines, line);) {
        const std::size_t start = line.find("\t{\"kind\":\"accesses\"");
        if (start == std::string::npos) continue;
        const auto json = nlohmann::json::parse(line.substr(start + 1), nullptr, false);
        if (!json.is_object()) continue;
        const std::string what = json.value("what", "");
        if (what != "export" && what != "unmasked_export") continue;
        const std::string detail = json.value("detail", "");
        if (!detail.starts_with(before)) continue;
        ExportRecord record;
        record.seq = json.value("seq", std::int64_t{0});
        record.masked = what == "export";
        record.words = json.value("subject", "") + ", exported " +
                       utc_text(json.value("utc_ns", std::int64_t{0})) + " by " + json.value("who", "");
        record.list = record_list_of(
            std::string_view(detail).substr(before.size(), detail.find(';', before.size()) - before.size()));
        return record;
    }
    return std::nullopt;
}

// The hash that stands before record seq's line; the part is known to have it.
std::string hash_in(const std::string& part, std::int64_t seq) {
    const std::string start = '\n' + std::to_string(seq) + '\t';
    const std::size_t at = part.find(start);
    return at == std::string::npos ? "" : part.substr(at + start.size(), 64);
}

std::string misfit_of_list(const RecordList& list, const std::vector<Part>& parts) {
    std::vector<std::string> hashes;
    for (const RecordRange& range : list.ranges) {
        const auto part = std::find_if(parts.begin(), parts.end(), [&](const Part& each) {
            return each.verdict.first_seq <= range.from_seq && each.verdict.last_seq >= range.to_seq;
        });
        if (part == parts.end()) {
            return "records " + std::to_string(range.from_seq) + " to " + std::to_string(range.to_seq) +
                   " belong to this export and are in none of its ledger/part-N.tsv";
        }
        hashes.push_back(hash_in(*part->text, range.to_seq));
    }
    if (digest_of(list.ranges, hashes) != list.digest)
        return "records that belong to this export are not those that were exported";
    return "";
}

} // namespace

bool is_ledger_part(const std::string& name) {
    return name.starts_with("ledger/part-") && name.ends_with(".tsv");
}

BundleLedger check_bundle_ledger(const ZipFiles& files, const std::string& sums_sha256,
                                 const LedgerTrust& trust) {
    BundleLedger out;
    std::vector<Part> parts = parts_of(files);
    std::optional<ExportRecord> record;
    for (Part& part : parts) {
        std::istringstream in(*part.text);
        part.verdict = check_ledger_file(in, trust);
        const LedgerVerdict& verdict = part.verdict;
        out.records += verdict.records;
        if (verdict.misfit) {
            out.misfit = part.name + ": " + words_of(*verdict.misfit);
            return out;
        }
        for (const std::string& note : verdict.notes) out.notes.push_back(part.name + ": " + note);
        const auto found = export_record(*part.text, sums_sha256);
        if (!found) continue;
        record = found;
        if (!verdict.head || verdict.head->of_seq < found->seq) continue;
        const auto key = std::find_if(verdict.keys.begin(), verdict.keys.end(),
                                      [&](const KnownKey& each) { return each.id == verdict.head->key_id; });
        if (key != verdict.keys.end()) out.signed_by = key->public_key;
    }
    if (!record) {
        out.misfit =
            "SHA256SUMS is not the list of any export in the ledger: files, list or ledger were altered";
        return out;
    }
    out.case_words = record->words;
    out.masked = record->masked;
    out.misfit = record->list ? misfit_of_list(*record->list, parts)
                              : "the record of this export doesn't say which records belong to it";
    if (out.signed_by.empty()) {
        out.notes.emplace_back("not signed: no signature vouches for the record of this export");
    }
    return out;
}

} // namespace quietpass
