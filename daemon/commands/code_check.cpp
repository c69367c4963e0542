#include "daemon/commands/code_check.h"

#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>
#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <optional>

#include "daemon/failure.h"
#include "daemon/ledger/ed25519.h"
#include "daemon/ledger/ledger_entries.h"
#include "daemon/ledger/signed_head.h"
#include "daemon/ledger/table_rows.h"
#include "daemon/records/read_only_store.h"
#include "daemon/records/utc_text.h"

namespace quietpass {
namespace {

[[noreturn]] void fail(const std::string& what) {
    throw Failure(kExitFailure, "verify: the code doesn't fit: " + what);
}

void check_signature(const SignedHead& head, const std::string& public_key) {
    if (key_id_of(public_key) != head.key_id)
        fail("it is signed by key " + head.key_id + ", not by key " + key_id_of(public_key));
    if (!is_signed_by(public_key, signed_bytes(head), head.signature))
        fail("key " + head.key_id + " did not sign it; type it again, or it was made by somebody else");
}

std::string public_key_of(SQLite::Database& database, const std::string& key_id) {
    SQLite::Statement query(database, "SELECT public_key FROM keys WHERE key_id = ?");
    query.bind(1, key_id);
    if (!query.executeStep())
        fail("key " + key_id + " is none of this store's; it is another station's code");
    return query.getColumn(0).getString();
}

std::optional<LedgerEntry> entry_at(SQLite::Database& database, std::int64_t seq) {
    LedgerEntries entries(database, seq);
    if (!entries.next() || entries.entry().seq != seq || !entries.entry().hash) return std::nullopt;
    return entries.entry();
}

// The record must be there as it was: its hash, and its row under that hash.
void check_record(SQLite::Database& database, const SignedHead& head) {
    const std::string record = "record " + std::to_string(head.of_seq);
    const auto entry = entry_at(database, head.of_seq);
    if (!entry) fail(record + " is not in the store: records were taken away since");
    if (*entry->hash != head.hash)
        fail("the store's hash of " + record + " is another: records were altered since");
    const auto before = entry_at(database, head.of_seq - 1);
    TableRows rows(database, entry->kind, head.of_seq);
    const ChainHash previous = before ? *before->hash : kChainStart;
    if (rows.seq() != head.of_seq || next_hash(previous, rows.line()) != head.hash)
        fail("the row of " + record + " is not what was signed; `quietpass verify --out` tells more");
}

std::string words_of_shift(SQLite::Database& database, std::int64_t seq) {
    SQLite::Statement query(database, "SELECT record_json FROM shift_records WHERE seq = ?");
    query.bind(1, seq);
    if (!query.executeStep()) return {};
    const auto record = nlohmann::json::parse(query.getColumn(0).getString(), nullptr, false);
    if (!record.is_object()) return {};
    const auto text = [&](const char* key) {
        const auto found = record.find(key);
        if (found == record.end() || found->is_null()) return std::string("-");
        return found->is_string() ? found->get<std::string>() : found->dump();
    };
    return fmt::format("  station {}, shift {}, {} to {}\n  vocal {} of {} scored, {} %, limit {} %\n",
                       text("station"), text("shift"), text("start"), text("end"), text("vocal"),
                       text("scored"), text("percent"), text("limit_percent"));
}

} // namespace

std::string check_code(const std::string& code, const std::filesystem::path& store,
                       const std::string& public_key) {
    const auto head = head_from_code(code);
    if (!head) {
        throw Failure(kExitUsage,
                      "verify: --code: is no whole code; it begins with QUIETPASS1 and has five words more, "
                      "the last of 128 digits 0-9 a-f");
    }
    const std::string signed_at = fmt::format("signed by key {} at {}", head->key_id, utc_text(head->utc_ns));
    if (store.empty()) {
        if (public_key.empty())
            throw Failure(kExitUsage, "verify: --code: give --out DIR, --public-key or both with it");
        check_signature(*head, public_key);
        return fmt::format(
            "The code is the station's: record {}, {}.\nWithout its store no more can be said.\n",
            head->of_seq, signed_at);
    }
    const auto database = open_for_reading(store);
    check_version(*database, store);
    const SQLite::Transaction snapshot(*database);
    check_signature(*head, public_key.empty() ? public_key_of(*database, head->key_id) : public_key);
    check_record(*database, *head);
    return fmt::format("The code fits record {} of {}, {}.\n{}Compare these with the paper.\n", head->of_seq,
                       store.string(), signed_at, words_of_shift(*database, head->of_seq));
}

} // namespace quietpass
