#include "daemon/bundles/export_case.h"

#include <optional>
#include <ostream>
#include <streambuf>
#include <tuple>

#include "daemon/bundles/bundle_readme.h"
#include "daemon/bundles/case_files.h"
#include "daemon/bundles/ledger_parts.h"
#include "daemon/bundles/verifier_text.h"
#include "daemon/failure.h"
#include "daemon/ledger/head_signer.h"
#include "daemon/ledger/ledger.h"
#include "daemon/ledger/ledger_file.h"
#include "daemon/records/access_rows.h"
#include "daemon/records/case_rows.h"
#include "daemon/records/sha256.h"
#include "daemon/records/utc_text.h"
#include "daemon/review/case_state.h"

namespace quietpass {

namespace {

[[noreturn]] void fail(int exit_code, const std::string& what) {
    throw Failure(exit_code, "export: " + what);
}

bool blank(const std::string& text) {
    return text.find_first_not_of(" \t\r\n") == std::string::npos;
}

CaseFile case_to_export(const Store& store, const ExportWish& wish) {
    if (!wish.masked && blank(wish.reason)) {
        fail(kExitUsage, "--unmasked needs a --reason: clips with speech in them leave the plant");
    }
    std::error_code ignored;
    if (std::filesystem::exists(wish.to, ignored)) {
        fail(kExitUsage, wish.to.string() + " is there already; give another name");
    }
    std::optional<CaseFile> file;
    store.read([&](SQLite::Database& database) { file = read_case(database, wish.case_id); });
    if (!file) {
        fail(kExitUsage,
             "case " + std::to_string(wish.case_id) + ": no such case; see `quietpass case list`");
    }
    const CaseState state = state_of(*file);
    if (state.passages.empty() && state.calls.empty() && state.clips.empty()) {
        fail(kExitUsage, "case " + std::to_string(wish.case_id) +
                             " is empty; `quietpass case gather` brings passages and clips into it");
    }
    return *file;
}

// One line for the ledger: what left, what its list of files hashes to, and which records it stands on.
std::string detail_of(const ExportWish& wish, const std::string& sums, const RecordList& records) {
    std::string detail = "SHA256SUMS " + sha256_hex(sums) + "; records " + text_of(records) + "; file " +
                         wish.to.filename().string();
    if (!wish.masked) detail += "; not masked because: " + wish.reason;
    return detail;
}

std::string sums_of(const std::vector<NamedBytes>& files) {
    std::string sums;
    for (const NamedBytes& file : files) sums += sha256_hex(file.bytes) + "  " + file.name + "\n";
    return sums;
}

// The key that is there to sign with; none on a copy of the records without it.
std::optional<StationKey> key_of(const ExportWish& wish) {
    std::error_code ignored;
    if (!std::filesystem::exists(wish.key_file, ignored)) return std::nullopt;
    return StationKey::load(wish.key_file);
}

[[noreturn]] void refuse_size(const ExportWish& wish, const std::string& much) {
    fail(kExitUsage,
         "case " + std::to_string(wish.case_id) + ": it would hold " + much +
             ", more than a receiver's `quietpass verify --bundle` reads; open a second case and share "
             "the passages out (`quietpass case drop`, `quietpass case gather`)");
}

// What the ledger's parts take, with nothing of them in memory.
class CountedBytes final : public std::streambuf {
  public:
    std::size_t count() const { return count_; }

  private:
    int_type overflow(int_type letter) override {
        ++count_;
        return traits_type::not_eof(letter);
    }
    std::streamsize xsputn(const char*, std::streamsize count) override {
        count_ += static_cast<std::size_t>(count);
        return count;
    }

    std::size_t count_ = 0;
};

// Before the export is on record: what can't be handed over is no export.
void refuse_too_large(const Store& store, const CaseFile& file, const ExportWish& wish,
                      const CaseFiles& made) {
    std::size_t bytes = bytes_of(made.files);
    std::size_t files = made.files.size();
    store.read([&](SQLite::Database& database) {
        const std::int64_t last = Ledger(database).last().seq;
        std::vector<RecordRange> records = records_of(database, file);
        records.push_back({last, last}); // about where the export's own will be
        for (const LedgerPart& part : ledger_parts(database, merged(std::move(records)))) {
            CountedBytes counted;
            std::ostream out(&counted);
            write_ledger_file(database, part.from_seq, part.to_seq, out);
            bytes += counted.count();
            ++files;
            if (bytes > wish.most.bytes) break;
        }
    });
    constexpr std::size_t kRest = std::size_t{1} << 20; // README, list, verifier, this export's own records
    constexpr std::size_t kRestFiles = 10;
    if (bytes + kRest > wish.most.bytes)
        refuse_size(wish, "more than " + std::to_string(wish.most.bytes >> 20U) + " MiB");
    if (files + kRestFiles > wish.most.files)
        refuse_size(wish, "more than " + std::to_string(wish.most.files) + " files");
}

// Records the export and signs a head over it. The export's record; whether it was signed.
std::pair<std::int64_t, bool> put_on_record(Store& store, const Clock& clock, const ExportWish& wish,
                                            const std::string& sums, std::optional<StationKey> key) {
    std::int64_t seq = 0;
    bool is_signed = false;
    std::optional<HeadSigner> signer;
    if (key) signer.emplace(std::move(*key), wish.key_file, clock);
    store.change([&](SQLite::Database& database) {
        RecordList records{records_of(database, *read_case(database, wish.case_id)), ""};
        records.digest = digest_of(records.ranges, last_hashes(database, records.ranges));
        const std::string detail = detail_of(wish, sums, records);
        CaseEvent event;
        event.case_id = wish.case_id;
        event.utc_ns = clock.utc_ns();
        event.by = wish.by;
        event.event = "exported";
        event.text = detail;
        add_case_event(database, event);
        seq = add_access(database, {event.utc_ns, wish.by, wish.masked ? "export" : "unmasked_export",
                                    "case " + std::to_string(wish.case_id), detail});
        Ledger ledger(database);
        is_signed = signer && signer->sign(database, ledger, "export");
    });
    return {seq, is_signed};
}

void write_zip(Files& files, const std::filesystem::path& to, const std::string& zip) {
    const std::filesystem::path folder = to.has_parent_path() ? to.parent_path() : ".";
    prepare_output_folder(files, folder);
    const std::vector<NamedBytes> set = {{to.filename().string(), zip}};
    write_whole(files, folder, set);
}

BundleFacts facts_of(const Store& store, const CaseFile& file, const ExportWish& wish, const Clock& clock) {
    BundleFacts facts;
    facts.file = file;
    for (const StoredShift& shift : store.shifts()) facts.station = shift.station;
    facts.exported = utc_text(clock.utc_ns());
    facts.by = wish.by;
    facts.masked = wish.masked;
    facts.reason = wish.reason;
    return facts;
}

} // namespace

Exported export_case(Store& store, Files& disk, const Clock& clock, const ExportWish& wish) {
    CaseFile file = case_to_export(store, wish);
    std::optional<StationKey> key = key_of(wish);
    CaseFiles made = case_files(store, file, wish.folder, wish.masked, wish.most.bytes);
    refuse_too_large(store, file, wish, made);
    BundleFacts facts = facts_of(store, file, wish, clock);
    facts.clips = made.clips;
    facts.absent = made.not_there;
    if (key) {
        facts.key_id = key->id();
        facts.public_key = key->public_key();
        made.files.push_back(
            {"station-key.txt", "Ed25519 public key of the station, hex\n" + facts.public_key +
                                    "\nkey id (first 16 digits of its SHA-256)\n" + facts.key_id + "\n"});
    }
    made.files.push_back({"verify_ledger.py", kVerifierText});
    made.files.insert(made.files.begin(), {"README.txt", bundle_readme(facts)});
    const std::string sums = sums_of(made.files);
    made.files.push_back({"SHA256SUMS", sums});

    Exported out;
    std::int64_t seq = 0;
    std::tie(seq, out.vouched_for) = put_on_record(store, clock, wish, sums, std::move(key));
    store.read([&](SQLite::Database& database) {
        file = *read_case(database, wish.case_id); // with this export's event
        std::vector<RecordRange> records = records_of(database, file);
        records.push_back({seq, seq});
        const std::vector<LedgerPart> parts = ledger_parts(database, merged(std::move(records)));
        for (NamedBytes& part : ledger_files(database, parts)) {
            made.files.push_back(std::move(part));
        }
    });
    const std::string zip = zip_of(made.files);
    write_zip(disk, wish.to, zip);
    out.clips = made.clips;
    out.files = made.files.size();
    out.bytes = zip.size();
    out.sha256 = sha256_hex(zip);
    out.notes = made.not_there;
    if (!out.vouched_for) {
        out.notes.push_back("not signed: the station's key is not at " + wish.key_file.string() +
                            ", or is not the one in force");
    }
    return out;
}

} // namespace quietpass
