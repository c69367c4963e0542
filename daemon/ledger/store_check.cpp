#include "daemon/ledger/store_check.h"

#include <SQLiteCpp/Statement.h>

#include <algorithm>
#include <array>
#include <memory>

#include "daemon/ledger/chain_check.h"
#include "daemon/ledger/evidence_tables.h"
#include "daemon/ledger/ledger_entries.h"
#include "daemon/ledger/table_rows.h"

namespace quietpass {
namespace {

class StoreCheck {
  public:
    StoreCheck(SQLite::Database& database, const LedgerTrust& trust)
        : database_(database), entries_(database, TableRows::kFirst), chain_(trust, kChainStart) {
        for (std::size_t i = 0; i < kEvidenceTables.size(); ++i) {
            tables_[i] = std::make_unique<TableRows>(database, kEvidenceTables[i]);
            seqs_[i] = tables_[i]->seq();
        }
    }

    LedgerVerdict run() {
        while (!chain_.verdict().misfit && entries_.next()) check(entries_.entry());
        if (!chain_.verdict().misfit) check_end();
        note_triggers();
        return std::move(chain_.verdict());
    }

  private:
    void fail(std::int64_t seq, const std::string& kind, MisfitCause cause, const std::string& why) {
        chain_.fail({seq, kind, cause, why});
    }

    void check(const LedgerEntry& entry) {
        const std::int64_t expected = chain_.last_seq() + 1;
        const auto first = std::min_element(seqs_.begin(), seqs_.end());
        const auto table = static_cast<std::size_t>(first - seqs_.begin());
        if (*first < entry.seq) {
            return fail_unrecorded(*first, table);
        }
        if (entry.seq > expected) return fail_missing(expected, entry.seq - 1);
        if (entry.seq < expected) {
            return fail(entry.seq, entry.kind, MisfitCause::kInserted, "the ledger begins with record 1");
        }
        if (*first != entry.seq) return fail_without_row(entry);
        if (kEvidenceTables[table] != entry.kind) {
            if (TableRows(database_, entry.kind, entry.seq).seq() == entry.seq)
                return fail_unrecorded(*first, table);
            return fail(entry.seq, entry.kind, MisfitCause::kOutOfOrder,
                        "the row with its number stands in " + std::string(kEvidenceTables[table]));
        }
        TableRows& rows = *tables_[table];
        if (!entry.hash || !chain_.add(entry.seq, entry.kind, rows.line(), *entry.hash)) {
            if (!chain_.verdict().misfit) fail_hash(entry, rows);
            return;
        }
        rows.advance();
        seqs_[table] = rows.seq();
    }

    void fail_unrecorded(std::int64_t seq, std::size_t table) {
        fail(seq, std::string(kEvidenceTables[table]), MisfitCause::kRowWithoutEntry,
             "it was never recorded, or its entry was taken out of the ledger");
    }

    void fail_missing(std::int64_t from, std::int64_t to) {
        fail(from, "", MisfitCause::kMissing,
             from == to ? "the ledger goes on with the next"
                        : "the ledger goes on with record " + std::to_string(to + 1));
    }

    void fail_without_row(const LedgerEntry& entry) {
        if (std::find(kEvidenceTables.begin(), kEvidenceTables.end(), entry.kind) == kEvidenceTables.end()) {
            return fail(entry.seq, entry.kind, MisfitCause::kInserted,
                        "there is no such kind of record; a newer program may have written it");
        }
        fail(entry.seq, entry.kind, MisfitCause::kEntryWithoutRow, "the row was taken out");
    }

    // Of the record that doesn't fit: which of the things that can have been done to it?
    void fail_hash(const LedgerEntry& entry, TableRows& rows) {
        const ChainHash computed = chain_.hash_of(rows.line());
        if (entry.hash) {
            for (TableRows other(database_, entry.kind); !other.at_end(); other.advance()) {
                if (chain_.hash_of(other.line_as(entry.seq)) != *entry.hash) continue;
                return fail(entry.seq, entry.kind, MisfitCause::kOutOfOrder,
                            "what belongs here stands as record " + std::to_string(other.seq()));
            }
        }
        if (next_fits(entry.seq, computed)) {
            return fail(entry.seq, entry.kind, MisfitCause::kHashChanged,
                        "the row is as it was recorded, its hash in the ledger is not");
        }
        fail(entry.seq, entry.kind, MisfitCause::kChanged, "the row is not what was recorded");
    }

    // Whether the record after this one was made with this hash before it.
    bool next_fits(std::int64_t seq, const ChainHash& hash) {
        LedgerEntries following(database_, seq + 1);
        if (!following.next()) return false;
        const LedgerEntry& next = following.entry();
        TableRows rows(database_, next.kind, seq + 1);
        return next.hash && rows.seq() == next.seq && next_hash(hash, rows.line()) == *next.hash;
    }

    void check_end() {
        const auto left = std::min_element(seqs_.begin(), seqs_.end());
        for (std::size_t i = 0; i < tables_.size(); ++i) {
            if (tables_[i]->at_end() || seqs_[i] != *left) continue;
            return fail_unrecorded(*left, i);
        }
        // SQLite remembers the highest number that was ever given.
        SQLite::Statement given(database_, "SELECT seq FROM sqlite_sequence WHERE name = 'ledger'");
        const std::int64_t highest = given.executeStep() ? given.getColumn(0).getInt64() : 0;
        if (highest <= chain_.last_seq()) return;
        fail(chain_.last_seq() + 1, "", MisfitCause::kMissing,
             "records up to " + std::to_string(highest) + " were written");
    }

    void note_triggers() {
        const auto count = database_
                               .execAndGet(
                                   "SELECT count(*) FROM sqlite_schema WHERE type = 'trigger' AND sql LIKE "
                                   "'%is evidence: rows are only added%'")
                               .getInt();
        // A store that no daemon of now has opened for writing lacks the tables that came since.
        const auto there = std::count_if(kEvidenceTables.begin(), kEvidenceTables.end(), [this](auto table) {
            return database_.tableExists(std::string(table));
        });
        if (count >= 2 * static_cast<int>(there + 1)) return;
        chain_.verdict().notes.push_back(
            "Triggers that keep rows from being changed are gone from this store: somebody took them out.");
    }

    SQLite::Database& database_;
    LedgerEntries entries_;
    ChainCheck chain_;
    std::array<std::unique_ptr<TableRows>, kEvidenceTables.size()> tables_;
    std::array<std::int64_t, kEvidenceTables.size()> seqs_{};
};

} // namespace

LedgerVerdict check_store(SQLite::Database& database, const LedgerTrust& trust) {
    return StoreCheck(database, trust).run();
}

} // namespace quietpass
