#include "daemon/commands/shift_signatures.h"

#include <SQLiteCpp/Statement.h>

#include <nlohmann/json.hpp>
#include <optional>
#include <utility>
#include <vector>

#include "daemon/commands/shift_files.h"
#include "daemon/failure.h"
#include "daemon/ledger/ledger_entries.h"
#include "daemon/ledger/signed_head.h"
#include "daemon/ledger/table_rows.h"
#include "daemon/records/utc_text.h"

namespace quietpass {
namespace {

constexpr std::int64_t kLookEvery_ns = 1'000'000'000;
constexpr std::int64_t kLookedBack = 20; // shifts of earlier runs
// Another process that writes holds the store for milliseconds; longer is for the next look.
constexpr std::chrono::milliseconds kReadWithin{50};

struct SignedShift {
    std::int64_t seq = 0;
    std::string record_json;
    std::string previous; // hash
    std::string line;
    SignedHead head;
    std::string public_key;
};

std::string hash_at(SQLite::Database& database, std::int64_t seq) {
    LedgerEntries entries(database, seq);
    if (seq > 0 && entries.next() && entries.entry().hash) return hex_of(*entries.entry().hash);
    return hex_of(kChainStart);
}

std::vector<SignedShift> signed_after(SQLite::Database& database, std::int64_t after_seq) {
    SQLite::Statement query(
        database,
        "SELECT shift_records.seq, record_json, heads.hash, heads.utc_ns, heads.key_id, signature, "
        "public_key "
        "FROM shift_records JOIN heads ON of_seq = shift_records.seq JOIN keys USING (key_id) "
        "WHERE shift_records.seq > ? ORDER BY shift_records.seq");
    query.bind(1, after_seq);
    std::vector<SignedShift> shifts;
    while (query.executeStep()) {
        SignedShift& shift = shifts.emplace_back();
        shift.seq = query.getColumn(0).getInt64();
        shift.record_json = query.getColumn(1).getString();
        shift.head.of_seq = shift.seq;
        shift.head.hash = chain_hash_from(query.getColumn(2).getString()).value_or(kChainStart);
        shift.head.utc_ns = query.getColumn(3).getInt64();
        shift.head.key_id = query.getColumn(4).getString();
        shift.head.signature = query.getColumn(5).getString();
        shift.public_key = query.getColumn(6).getString();
        shift.previous = hash_at(database, shift.seq - 1);
        shift.line = TableRows(database, "shift_records", shift.seq).line();
    }
    return shifts;
}

// Where ShiftFiles put it; nothing for a record that says no name.
std::optional<std::filesystem::path> folder_of(const SignedShift& shift, const std::filesystem::path& out) {
    const auto record = nlohmann::json::parse(shift.record_json, nullptr, false);
    if (!record.is_object() || !record.contains("shift") || !record["shift"].is_string()) return std::nullopt;
    std::string start = "undated";
    if (record.contains("start") && record["start"].is_string()) {
        const auto utc_ns = utc_from_text(record["start"].get<std::string>());
        if (utc_ns) start = file_stamp(*utc_ns);
    }
    return out / "shifts" / (start + "_" + record["shift"].get<std::string>());
}

std::string text_of(const SignedShift& shift) {
    nlohmann::ordered_json text;
    text["record"] = {{"seq", shift.seq},
                      {"previous", shift.previous},
                      {"line", shift.line},
                      {"hash", hex_of(shift.head.hash)}};
    text["head"] = {{"of_seq", shift.head.of_seq},
                    {"utc_ns", shift.head.utc_ns},
                    {"key_id", shift.head.key_id},
                    {"signature", shift.head.signature}};
    text["public_key"] = shift.public_key;
    text["code"] = code_of(shift.head);
    return text.dump(2) + "\n";
}

} // namespace

ShiftSignatures::ShiftSignatures(Files& files, std::filesystem::path out, Say say)
    : files_(files), out_(std::move(out)), say_(std::move(say)), reader_(out_ / "records.db", kReadWithin) {
    reader_.read([this](SQLite::Database& database) {
        SQLite::Statement query(database, "SELECT seq FROM shift_records ORDER BY seq DESC LIMIT 1 OFFSET ?");
        query.bind(1, kLookedBack);
        if (query.executeStep()) after_seq_ = query.getColumn(0).getInt64();
    });
}

void ShiftSignatures::turn(std::int64_t monotonic_ns) {
    if (monotonic_ns < next_look_ns_) return;
    next_look_ns_ = monotonic_ns + kLookEvery_ns;
    look();
}

void ShiftSignatures::look() {
    std::vector<SignedShift> shifts;
    try {
        reader_.read([&](SQLite::Database& database) { shifts = signed_after(database, after_seq_); });
    } catch (const Failure&) {
        return; // the store is held for a moment
    }
    for (const SignedShift& shift : shifts) {
        after_seq_ = shift.seq;
        const auto folder = folder_of(shift, out_);
        std::error_code ignored;
        if (!folder || !std::filesystem::exists(*folder / "shift.json", ignored)) continue;
        if (std::filesystem::exists(*folder / "shift.sig.json", ignored)) continue;
        try {
            const NamedBytes set[] = {{"shift.sig.json", text_of(shift)}};
            write_whole(files_, *folder, set);
        } catch (const Failure& failure) {
            say_(true, failure.what());
        }
    }
}

} // namespace quietpass
