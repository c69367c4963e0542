#include "daemon/alarms/delivery/outbox.h"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>
#include <sqlite3.h>

#include <algorithm>
#include <mutex>

#include "daemon/alarms/delivery/message_json.h"
#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr const char* kVersion = "1";

constexpr const char* kTables = R"sql(
CREATE TABLE IF NOT EXISTS meta (
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE IF NOT EXISTS messages (
  number     INTEGER PRIMARY KEY AUTOINCREMENT,
  id         TEXT NOT NULL UNIQUE,
  alarm      TEXT NOT NULL,
  cause      TEXT NOT NULL,
  event      TEXT NOT NULL,
  station    TEXT NOT NULL,
  utc_ns     INTEGER NOT NULL,
  severity   TEXT NOT NULL,
  count      INTEGER NOT NULL,
  headline   TEXT NOT NULL,
  text       TEXT NOT NULL,
  facts      TEXT NOT NULL,
  put_utc_ns INTEGER NOT NULL
) STRICT;

CREATE TABLE IF NOT EXISTS deliveries (
  number          INTEGER NOT NULL REFERENCES messages (number) ON DELETE CASCADE,
  channel         TEXT NOT NULL,
  state           TEXT NOT NULL CHECK (state IN ('waiting', 'done')),
  attempts        INTEGER NOT NULL,
  last_try_utc_ns INTEGER,
  next_try_utc_ns INTEGER,
  done_utc_ns     INTEGER,
  error           TEXT NOT NULL,
  PRIMARY KEY (number, channel)
) STRICT, WITHOUT ROWID;
CREATE INDEX IF NOT EXISTS deliveries_waiting ON deliveries (number) WHERE state = 'waiting';

CREATE TABLE IF NOT EXISTS standing (
  alarm    TEXT PRIMARY KEY,
  cause    TEXT NOT NULL,
  severity TEXT NOT NULL,
  calling  INTEGER NOT NULL CHECK (calling IN (0, 1))
) STRICT, WITHOUT ROWID;
)sql";

std::string one_line(std::string text) {
    std::replace(text.begin(), text.end(), '\n', ' ');
    return text;
}

void set_up(SQLite::Database& database) {
    if (sqlite3_db_readonly(database.getHandle(), "main") == 1) throw std::runtime_error("read-only");
    if (database.execAndGet("PRAGMA journal_mode = WAL").getString() != "wal") {
        throw std::runtime_error("this file system can't hold a write-ahead log");
    }
    database.exec("PRAGMA synchronous = FULL");
    database.exec("PRAGMA foreign_keys = ON");
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    database.exec(kTables);
    SQLite::Statement version(database,
                              "INSERT OR IGNORE INTO meta (key, value) VALUES ('schema_version', ?)");
    version.bind(1, kVersion);
    version.exec();
    transaction.commit();
    const std::string found =
        database.execAndGet("SELECT value FROM meta WHERE key = 'schema_version'").getString();
    if (found != kVersion) {
        throw std::runtime_error("its schema version is " + found + ", this program reads " + kVersion);
    }
}

void note_standing(SQLite::Database& database, const AlarmMessage& message) {
    if (message.event == "raised" || message.event == "again") {
        SQLite::Statement raise(database,
                                "INSERT OR REPLACE INTO standing (alarm, cause, severity, calling)"
                                " VALUES (?, ?, ?, 1)");
        raise.bind(1, message.alarm);
        raise.bind(2, message.cause);
        raise.bind(3, message.severity);
        raise.exec();
    } else if (message.event == "acknowledged" || message.event == "cleared") {
        SQLite::Statement end(database, message.event == "cleared"
                                            ? "DELETE FROM standing WHERE alarm = ?"
                                            : "UPDATE standing SET calling = 0 WHERE alarm = ?");
        end.bind(1, message.alarm);
        end.exec();
    }
}

OutboxRow row_of(SQLite::Statement& query) {
    OutboxRow row;
    int column = 0;
    const auto text = [&] { return query.getColumn(column++).getString(); };
    const auto whole = [&] { return query.getColumn(column++).getInt64(); };
    row.message.id = text();
    row.message.alarm = text();
    row.message.cause = text();
    row.message.event = text();
    row.message.station = text();
    row.message.utc_ns = whole();
    row.message.severity = text();
    row.message.count = whole();
    row.message.headline = text();
    row.message.text = text();
    row.message.facts = facts_from_json(text());
    row.put_utc_ns = whole();
    row.channel = text();
    row.done = text() == "done";
    row.attempts = whole();
    row.last_try_utc_ns = whole();
    row.next_try_utc_ns = whole();
    row.done_utc_ns = whole();
    row.error = text();
    return row;
}

} // namespace

struct Outbox::Parts {
    Parts(const std::filesystem::path& path, std::chrono::milliseconds busy_timeout)
        : file(path),
          database(path.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE,
                   static_cast<int>(busy_timeout.count())) {
        set_up(database);
    }

    template <typename Work>
    auto with_database(Work work) {
        const std::lock_guard lock(mutex);
        try {
            return work(database);
        } catch (const std::exception& error) {
            throw failure(error.what());
        }
    }

    Failure failure(const std::string& what) const { return failure_of(file, what); }

    static Failure failure_of(const std::filesystem::path& path, const std::string& what) {
        return Failure(kExitFailure, "outbox " + path.string() + ": can't be used (" + one_line(what) +
                                         "); check the file, its folder and the space on the disk");
    }

    std::vector<OutboxRow> read(const std::string& which) {
        return with_database([&](SQLite::Database& opened) {
            SQLite::Statement query(
                opened,
                "SELECT id, alarm, cause, event, station, utc_ns, severity, count, headline, text, facts,"
                " put_utc_ns, channel, state, attempts, last_try_utc_ns, next_try_utc_ns, done_utc_ns, error"
                " FROM messages JOIN deliveries USING (number) " +
                    which + " ORDER BY number, channel");
            std::vector<OutboxRow> rows;
            while (query.executeStep()) rows.push_back(row_of(query));
            return rows;
        });
    }

    const std::filesystem::path file;
    std::mutex mutex;
    SQLite::Database database; // under mutex
};

Outbox::Outbox(const std::filesystem::path& file, std::chrono::milliseconds busy_timeout) {
    try {
        parts_ = std::make_unique<Parts>(file, busy_timeout);
    } catch (const std::exception& error) {
        throw Parts::failure_of(file, error.what());
    }
}

Outbox::~Outbox() = default;
Outbox::Outbox(Outbox&&) noexcept = default;
Outbox& Outbox::operator=(Outbox&&) noexcept = default;

bool Outbox::put(const AlarmMessage& message, const std::vector<std::string>& channels, std::int64_t utc_ns) {
    return parts_->with_database([&](SQLite::Database& database) {
        SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
        SQLite::Statement insert(
            database,
            "INSERT INTO messages (id, alarm, cause, event, station, utc_ns, severity, count,"
            " headline, text, facts, put_utc_ns) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
            " ON CONFLICT (id) DO NOTHING");
        int column = 0;
        for (const std::string* text :
             {&message.id, &message.alarm, &message.cause, &message.event, &message.station}) {
            insert.bind(++column, *text);
        }
        insert.bind(++column, message.utc_ns);
        insert.bind(++column, message.severity);
        insert.bind(++column, message.count);
        insert.bind(++column, message.headline);
        insert.bind(++column, message.text);
        insert.bind(++column, facts_json(message.facts));
        insert.bind(++column, utc_ns);
        if (insert.exec() == 0) return false;
        const std::int64_t number = database.getLastInsertRowid();
        SQLite::Statement row(database,
                              "INSERT INTO deliveries (number, channel, state, attempts, error)"
                              " VALUES (?, ?, 'waiting', 0, '')");
        for (const std::string& channel : channels) {
            row.reset();
            row.bind(1, number);
            row.bind(2, channel);
            row.exec();
        }
        note_standing(database, message);
        transaction.commit();
        return true;
    });
}

void Outbox::done(const std::string& id, const std::string& channel, std::int64_t utc_ns) {
    parts_->with_database([&](SQLite::Database& database) {
        SQLite::Statement update(
            database,
            "UPDATE deliveries SET state = 'done', attempts = attempts + 1, last_try_utc_ns = ?1,"
            " next_try_utc_ns = NULL, done_utc_ns = ?1, error = ''"
            " WHERE number = (SELECT number FROM messages WHERE id = ?2) AND channel = ?3");
        update.bind(1, utc_ns);
        update.bind(2, id);
        update.bind(3, channel);
        update.exec();
    });
}

void Outbox::failed(const std::string& id, const std::string& channel, std::int64_t utc_ns,
                    std::int64_t next_try_utc_ns, const std::string& error) {
    parts_->with_database([&](SQLite::Database& database) {
        SQLite::Statement update(
            database,
            "UPDATE deliveries SET attempts = attempts + 1, last_try_utc_ns = ?1, next_try_utc_ns = ?2,"
            " error = ?3 WHERE number = (SELECT number FROM messages WHERE id = ?4) AND channel = ?5");
        update.bind(1, utc_ns);
        update.bind(2, next_try_utc_ns);
        update.bind(3, error);
        update.bind(4, id);
        update.bind(5, channel);
        update.exec();
    });
}

std::vector<OutboxRow> Outbox::waiting() const {
    return parts_->read("WHERE state = 'waiting'");
}

std::vector<OutboxRow> Outbox::rows() const {
    return parts_->read("");
}

std::vector<StandingAlarm> Outbox::standing() const {
    return parts_->with_database([](SQLite::Database& database) {
        SQLite::Statement query(database,
                                "SELECT alarm, cause, severity, calling FROM standing ORDER BY alarm");
        std::vector<StandingAlarm> alarms;
        while (query.executeStep()) {
            alarms.push_back({query.getColumn(0).getString(), query.getColumn(1).getString(),
                              query.getColumn(2).getString(), query.getColumn(3).getInt() == 1});
        }
        return alarms;
    });
}

std::size_t Outbox::prune(std::int64_t before_utc_ns) {
    return parts_->with_database([&](SQLite::Database& database) {
        SQLite::Statement remove(database,
                                 "DELETE FROM messages WHERE put_utc_ns < ? AND number NOT IN"
                                 " (SELECT number FROM deliveries WHERE state = 'waiting')");
        remove.bind(1, before_utc_ns);
        return static_cast<std::size_t>(remove.exec());
    });
}

const std::filesystem::path& Outbox::file() const {
    return parts_->file;
}

} // namespace quietpass
