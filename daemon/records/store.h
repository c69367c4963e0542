// The record store: one SQLite file (STRICT tables, WAL, synchronous=FULL). A row of a write() that returned
// is there after a kill or a power loss at any moment.
//
// FORMATS.md has the tables; each row of evidence is chained in the ledger in the same transaction. One
// thread at a time drives one Store; several Stores, in one process or more, may have the same file open (one
// waits for the other up to the busy timeout).
//
// Errors: the constructor throws Failure (exit 1) for a file that can't be opened or made, isn't a store, is
// damaged or was made by a newer program. write() throws StoreError. Reading throws Failure.
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <stdexcept>
#include <string>
#include <vector>

#include "daemon/records/hand_audit.h"
#include "daemon/records/journal_entry.h"
#include "daemon/records/span_rows.h"
#include "daemon/records/store_rows.h"

namespace SQLite {
class Database;
}

namespace quietpass {

class HeadSigner;

class StoreError : public std::runtime_error {
  public:
    StoreError(const std::string& line, bool row_is_bad)
        : std::runtime_error(line), row_is_bad_(row_is_bad) {}
    // true: the row itself can't be stored, trying again is vain. false: the disk or the lock; later it may
    // work.
    bool row_is_bad() const { return row_is_bad_; }

  private:
    bool row_is_bad_;
};

class Store {
  public:
    // Opens the file, or makes it with its tables.
    explicit Store(const std::filesystem::path& file,
                   std::chrono::milliseconds busy_timeout = std::chrono::seconds(5));
    // Only to look: the file is not altered and may lie where nobody can write, a copy on a read-only disk.
    // write(), add() and change() throw StoreError. A store of an older program is moved to this version
    // first, as always with a checked copy beside it; where that can't be written it is a Failure.
    static Store for_reading(const std::filesystem::path& file);
    ~Store();
    Store(Store&&) noexcept;
    Store& operator=(Store&&) noexcept;

    // All rows or none, in one transaction, on the disk when it returns. A row that is there already is kept
    // as it is, so a write whose outcome was not known may be repeated.
    void write(std::span<const StoreRow> rows);

    // From now on the store signs: a head over each shift's record, and where a SignHead is written.
    void sign_with(std::shared_ptr<HeadSigner> signer);

    // One more than any shift's id.
    std::int64_t next_shift_id() const;

    // Shifts without an end, oldest first: after a start, those that a killed run left.
    std::vector<StoredShift> open_shifts() const;
    std::vector<StoredShift> shifts() const;

    // Nothing for an unknown id.
    std::optional<ShiftRows> read_shift(std::int64_t shift_id) const;

    // In order of writing, those after this event_id; rows that other processes added are among them.
    std::vector<AlarmEventRow> alarm_events(std::int64_t after_event_id = 0) const;

    SpanRows read_span(const RecordSpan& span) const;
    // As read_newest_passages(): the end of a store of years without the rest of it.
    SpanRows read_newest(std::int64_t passages, bool vocal) const;

    // What people enter. add() gives the id; it throws StoreError, as write().
    std::int64_t add(const JournalEntry& entry);
    std::int64_t add(const HandAudit& audit);
    std::vector<JournalEntry> journal() const;
    std::vector<HandAudit> hand_audits() const;

    // For what has its SQL in files of its own (as people_rows.h). change(): one IMMEDIATE transaction, on
    // the disk when it returns; what `work` throws takes it back. Rows of evidence are chained by a Ledger
    // (daemon/ledger/ledger.h). Throws StoreError for SQLite's errors. read(): one snapshot; Failure. `work`
    // begins no transaction of its own.
    void change(const std::function<void(SQLite::Database&)>& work);
    void read(const std::function<void(SQLite::Database&)>& work) const;

    // Empty when the file is whole, else what SQLite's integrity check found.
    std::string integrity_errors() const;

    const std::filesystem::path& file() const;

  private:
    struct Parts;
    explicit Store(std::unique_ptr<Parts> parts);
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
