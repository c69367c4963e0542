#include "daemon/records/store.h"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>
#include <sqlite3.h>
#include <unistd.h>

#include <algorithm>
#include <utility>

#include "daemon/failure.h"
#include "daemon/records/alarm_event_rows.h"
#include "daemon/records/people_rows.h"
#include "daemon/records/read_only_store.h"
#include "daemon/records/row_reader.h"
#include "daemon/records/row_writer.h"
#include "daemon/records/span_reader.h"
#include "daemon/records/store_copy.h"
#include "daemon/records/store_schema.h"

namespace quietpass {
namespace {

std::string one_line(std::string text) {
    std::replace(text.begin(), text.end(), '\n', ' ');
    return text;
}

Failure failure_of(const std::filesystem::path& file, const std::exception& error) {
    const std::string what = error.what();
    const auto* const of_sqlite = dynamic_cast<const SQLite::Exception*>(&error);
    if (of_sqlite != nullptr && (of_sqlite->getErrorCode() & 0xff) == SQLITE_CORRUPT) {
        return Failure(kExitFailure,
                       "record store " + file.string() + ": is damaged (" + one_line(what) +
                           "); restore the last backup: quietpass restore --from BACKUP --out " +
                           file.parent_path().string());
    }
    return Failure(kExitFailure, "record store " + file.string() + ": can't be used (" + one_line(what) +
                                     "); check the file, its folder and the space on the disk");
}

// What the row itself did wrong, as against the disk or the lock.
bool is_of_the_row(const SQLite::Exception& error) {
    switch (error.getErrorCode() & 0xff) {
        case SQLITE_CONSTRAINT:
        case SQLITE_MISMATCH:
        case SQLITE_TOOBIG:
        case SQLITE_RANGE:
            return true;
        default:
            return false;
    }
}

void set_up(SQLite::Database& database) {
    // Without write permission SQLite opens the file for reading and fails later, at the first animal.
    if (sqlite3_db_readonly(database.getHandle(), "main") == 1) throw std::runtime_error("read-only");
    const std::string mode = database.execAndGet("PRAGMA journal_mode = WAL").getString();
    if (mode != "wal") throw std::runtime_error("this file system can't hold a write-ahead log");
    database.exec("PRAGMA synchronous = FULL");
    database.exec("PRAGMA foreign_keys = ON");
}

} // namespace

struct Store::Parts {
    std::filesystem::path file;
    std::unique_ptr<SQLite::Database> database;
    RowWriter writer;

    Parts(const std::filesystem::path& path, std::chrono::milliseconds busy_timeout)
        : file(path),
          database(std::make_unique<SQLite::Database>(path.string(),
                                                      SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE,
                                                      static_cast<int>(busy_timeout.count()))),
          writer(prepared(*database)) {}

    // Of this program's version, and read only.
    Parts(const std::filesystem::path& path, std::unique_ptr<SQLite::Database> opened)
        : file(path), database(std::move(opened)), writer(*database) {}

    // The statements can only be prepared when the tables are there.
    static SQLite::Database& prepared(SQLite::Database& database) {
        set_up(database);
        prepare_schema(database);
        return database;
    }

    template <typename Write>
    auto writing(Write write) {
        try {
            return write(*database);
        } catch (const SQLite::Exception& error) {
            throw StoreError(
                "record store " + file.string() + ": can't be written (" + one_line(error.what()) + ")",
                is_of_the_row(error));
        }
    }

    template <typename Read>
    auto reading(Read read) {
        try {
            return read(*database);
        } catch (const Failure&) {
            throw;
        } catch (const std::exception& error) {
            throw failure_of(file, error);
        }
    }
};

Store::Store(const std::filesystem::path& file, std::chrono::milliseconds busy_timeout) {
    try {
        parts_ = std::make_unique<Parts>(file, busy_timeout);
    } catch (const Failure&) {
        throw;
    } catch (const std::exception& error) {
        throw failure_of(file, error);
    }
}

Store::Store(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}

Store Store::for_reading(const std::filesystem::path& file) {
    auto database = open_for_reading(file);
    if (schema_version_of(*database) != std::to_string(kSchemaVersion)) {
        const std::filesystem::path folder = file.has_parent_path() ? file.parent_path() : ".";
        if (access(file.c_str(), W_OK) == 0 && access(folder.c_str(), W_OK) == 0) return Store(file);
        check_version(*database, file);
    }
    try {
        return Store(std::make_unique<Parts>(file, std::move(database)));
    } catch (const std::exception& error) {
        throw failure_of(file, error);
    }
}

Store::~Store() = default;
Store::Store(Store&&) noexcept = default;
Store& Store::operator=(Store&&) noexcept = default;

void Store::write(std::span<const StoreRow> rows) {
    if (rows.empty()) return;
    parts_->writing([&](SQLite::Database& database) {
        SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
        for (const StoreRow& row : rows) parts_->writer.write(row);
        transaction.commit();
    });
}

void Store::sign_with(std::shared_ptr<HeadSigner> signer) {
    parts_->writer.sign_with(std::move(signer));
}

std::int64_t Store::next_shift_id() const {
    return parts_->reading([](SQLite::Database& database) {
        return database.execAndGet("SELECT coalesce(max(shift_id), 0) + 1 FROM shifts").getInt64();
    });
}

std::vector<StoredShift> Store::open_shifts() const {
    return parts_->reading([](SQLite::Database& database) { return read_shifts(database, true); });
}

std::vector<StoredShift> Store::shifts() const {
    return parts_->reading([](SQLite::Database& database) { return read_shifts(database, false); });
}

std::optional<ShiftRows> Store::read_shift(std::int64_t shift_id) const {
    return parts_->reading(
        [shift_id](SQLite::Database& database) { return read_shift_rows(database, shift_id); });
}

std::vector<AlarmEventRow> Store::alarm_events(std::int64_t after_event_id) const {
    return parts_->reading(
        [after_event_id](SQLite::Database& database) { return read_alarm_events(database, after_event_id); });
}

SpanRows Store::read_span(const RecordSpan& span) const {
    return parts_->reading([&](SQLite::Database& database) { return quietpass::read_span(database, span); });
}

SpanRows Store::read_newest(std::int64_t passages, bool vocal) const {
    return parts_->reading(
        [&](SQLite::Database& database) { return read_newest_passages(database, passages, vocal); });
}

std::int64_t Store::add(const JournalEntry& entry) {
    std::int64_t id = 0;
    change([&](SQLite::Database& database) { id = add_entry(database, entry); });
    return id;
}

std::int64_t Store::add(const HandAudit& audit) {
    std::int64_t id = 0;
    change([&](SQLite::Database& database) { id = add_hand_audit(database, audit); });
    return id;
}

std::vector<JournalEntry> Store::journal() const {
    return parts_->reading([](SQLite::Database& database) { return read_journal(database); });
}

std::vector<HandAudit> Store::hand_audits() const {
    return parts_->reading([](SQLite::Database& database) { return read_hand_audits(database); });
}

void Store::change(const std::function<void(SQLite::Database&)>& work) {
    parts_->writing([&](SQLite::Database& database) {
        SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
        work(database);
        transaction.commit();
    });
}

void Store::read(const std::function<void(SQLite::Database&)>& work) const {
    parts_->reading([&](SQLite::Database& database) {
        const SQLite::Transaction snapshot(database);
        work(database);
    });
}

std::string Store::integrity_errors() const {
    return parts_->reading([](SQLite::Database& database) { return integrity_errors_of(database); });
}

const std::filesystem::path& Store::file() const {
    return parts_->file;
}

} // namespace quietpass
