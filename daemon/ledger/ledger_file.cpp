#include "daemon/ledger/ledger_file.h"

#include <SQLiteCpp/Statement.h>

#include <algorithm>
#include <charconv>
#include <istream>
#include <map>
#include <memory>
#include <ostream>
#include <string>

#include "daemon/failure.h"
#include "daemon/ledger/chain_check.h"
#include "daemon/ledger/ed25519.h"
#include "daemon/ledger/evidence_tables.h"
#include "daemon/ledger/ledger_entries.h"
#include "daemon/ledger/table_rows.h"

namespace quietpass {
namespace {

constexpr std::string_view kTitle = "# quietpass ledger 1";
constexpr std::string_view kPrevious = "# previous ";
constexpr std::string_view kKey = "# key ";

[[noreturn]] void fail_lacking(std::int64_t seq) {
    throw Failure(kExitFailure, "record " + std::to_string(seq) +
                                    " is not in the store; `quietpass verify` says where its ledger breaks");
}

ChainHash hash_before(SQLite::Database& database, std::int64_t seq) {
    if (seq == 1) return kChainStart;
    LedgerEntries entries(database, seq - 1);
    if (!entries.next() || entries.entry().seq != seq - 1 || !entries.entry().hash) fail_lacking(seq - 1);
    return *entries.entry().hash;
}

// A line of a record, taken apart.
struct RecordText {
    std::int64_t seq = 0;
    ChainHash hash;
    std::string kind;
    std::string line;
};

// {"kind":"passages","seq":123 and a comma or the end: it must say the same as the columns before it.
std::optional<std::string> kind_in(const std::string& line, std::int64_t seq) {
    constexpr std::string_view kStart = "{\"kind\":\"";
    if (!line.starts_with(kStart)) return std::nullopt;
    const std::size_t end = line.find('"', kStart.size());
    if (end == std::string::npos) return std::nullopt;
    const std::string number = "\",\"seq\":" + std::to_string(seq);
    if (line.compare(end, number.size(), number) != 0) return std::nullopt;
    const std::size_t after = end + number.size();
    if (after >= line.size() || (line[after] != ',' && line[after] != '}')) return std::nullopt;
    return line.substr(kStart.size(), end - kStart.size());
}

std::optional<RecordText> record_in(const std::string& text) {
    const std::size_t first = text.find('\t');
    if (first == std::string::npos) return std::nullopt;
    const std::size_t second = text.find('\t', first + 1);
    if (second == std::string::npos) return std::nullopt;
    RecordText record;
    const auto [end, error] = std::from_chars(text.data(), text.data() + first, record.seq);
    if (error != std::errc() || end != text.data() + first || record.seq < 1) return std::nullopt;
    const auto hash = chain_hash_from(std::string_view(text).substr(first + 1, second - first - 1));
    if (!hash) return std::nullopt;
    record.hash = *hash;
    record.line = text.substr(second + 1);
    const auto kind = kind_in(record.line, record.seq);
    if (!kind) return std::nullopt;
    record.kind = *kind;
    return record;
}

class FileCheck {
  public:
    FileCheck(std::istream& in, const LedgerTrust& trust) : in_(in), trust_(trust) {}

    LedgerVerdict run() {
        read_start();
        if (!failed_) {
            while (here_ && !chain_->verdict().misfit) check();
            if (in_.bad() && !chain_->verdict().misfit) fail_unreadable(chain_->last_seq() + 1);
        }
        return std::move(chain_->verdict());
    }

  private:
    void read_start() {
        std::string text;
        ChainHash previous = kChainStart;
        bool has_previous = false;
        std::vector<std::string> keys;
        const bool has_title = std::getline(in_, text) && text == kTitle;
        while (has_title && std::getline(in_, text) && text.starts_with('#')) {
            if (text.starts_with(kKey)) {
                keys.push_back(text.substr(kKey.size()));
                continue;
            }
            if (!text.starts_with(kPrevious)) continue;
            const auto hash = chain_hash_from(std::string_view(text).substr(kPrevious.size()));
            if (!hash) break;
            previous = *hash;
            has_previous = true;
        }
        chain_.emplace(trust_, previous);
        const bool keys_good = std::none_of(keys.begin(), keys.end(),
                                            [](const std::string& key) { return key_id_of(key).empty(); });
        if (!has_title || !has_previous || !keys_good) {
            failed_ = true;
            chain_->fail({0, "", MisfitCause::kUnreadable, "the file doesn't begin as a ledger file does"});
            return;
        }
        for (const std::string& key : keys) chain_->know(key);
        if (in_) take(text);
    }

    void take(const std::string& text) {
        here_.emplace();
        here_->text = text;
        here_->record = record_in(text);
    }

    void advance() {
        std::string text;
        here_.reset();
        if (std::getline(in_, text)) take(text);
    }

    void check() {
        const std::int64_t expected = chain_->last_seq() + 1;
        if (!here_->record) return fail_unreadable(expected);
        const RecordText record = std::move(*here_->record);
        const bool first = chain_->verdict().records == 0;
        if (!first && record.seq != expected) {
            advance();
            const bool swapped =
                record.seq < expected || (here_ && here_->record && here_->record->seq < record.seq);
            return chain_->fail({swapped ? record.seq : expected, swapped ? record.kind : "",
                                 swapped ? MisfitCause::kOutOfOrder : MisfitCause::kMissing,
                                 swapped ? "it stands where record " + std::to_string(expected) + " belongs"
                                         : "the file goes on with record " + std::to_string(record.seq)});
        }
        if (first && record.seq == 1 && chain_->verdict().last_hash != kChainStart) {
            return chain_->fail({1, record.kind, MisfitCause::kHashChanged, "nothing is before record 1"});
        }
        const ChainHash computed = chain_->hash_of(record.line);
        const bool good = chain_->add(record.seq, record.kind, record.line, record.hash);
        advance();
        if (good || chain_->verdict().misfit) return;
        const bool next_fits = here_ && here_->record && here_->record->seq == record.seq + 1 &&
                               next_hash(computed, here_->record->line) == here_->record->hash;
        chain_->fail({record.seq, record.kind, next_fits ? MisfitCause::kHashChanged : MisfitCause::kChanged,
                      next_fits ? "the line is as it was recorded, its hash is not"
                                : "the line is not what was recorded"});
    }

    void fail_unreadable(std::int64_t seq) {
        chain_->fail({seq, "", MisfitCause::kUnreadable, "its line is no record"});
    }

    struct Here {
        std::string text;
        std::optional<RecordText> record;
    };

    std::istream& in_;
    const LedgerTrust& trust_;
    std::optional<ChainCheck> chain_;
    std::optional<Here> here_; // the next line, read already
    bool failed_ = false;
};

} // namespace

void write_ledger_file(SQLite::Database& database, std::int64_t from_seq, std::int64_t to_seq,
                       std::ostream& out) {
    out << kTitle << '\n' << kPrevious << hex_of(hash_before(database, from_seq)) << '\n';
    SQLite::Statement keys(database, "SELECT public_key FROM keys WHERE seq < ? ORDER BY seq");
    keys.bind(1, from_seq);
    while (keys.executeStep()) out << kKey << keys.getColumn(0).getString() << '\n';
    std::map<std::string, std::unique_ptr<TableRows>, std::less<>> tables;
    LedgerEntries entries(database, from_seq);
    for (std::int64_t seq = from_seq; seq <= to_seq; ++seq) {
        if (!entries.next() || entries.entry().seq != seq || !entries.entry().hash) fail_lacking(seq);
        const LedgerEntry& entry = entries.entry();
        std::unique_ptr<TableRows>& rows = tables[entry.kind];
        if (!rows) rows = std::make_unique<TableRows>(database, entry.kind, from_seq);
        if (rows->seq() != seq) fail_lacking(seq);
        out << seq << '\t' << hex_of(*entry.hash) << '\t' << rows->line() << '\n';
        rows->advance();
    }
}

LedgerVerdict check_ledger_file(std::istream& in, const LedgerTrust& trust) {
    return FileCheck(in, trust).run();
}

std::optional<std::int64_t> head_record_covering(SQLite::Database& database, std::int64_t seq) {
    SQLite::Statement query(database, "SELECT min(seq) FROM heads WHERE of_seq >= ?");
    query.bind(1, seq);
    if (!query.executeStep() || query.getColumn(0).isNull()) return std::nullopt;
    return query.getColumn(0).getInt64();
}

} // namespace quietpass
