#include "daemon/records/store_migration.h"

#include <SQLiteCpp/Statement.h>

#include <optional>
#include <stdexcept>
#include <vector>

#include "daemon/ledger/evidence_tables.h"
#include "daemon/ledger/ledger.h"
#include "daemon/records/store_copy.h"
#include "daemon/records/store_tables.h"

namespace quietpass {
namespace {

// A table of before, with the order in which its rows are chained.
struct OldTable {
    const char* name;
    const char* order;
};
constexpr OldTable kOfAShift[] = {{"microphones", "number"},
                                  {"edges", "time_s, role, closed"},
                                  {"contact_faults", "time_s, contact, fault"},
                                  {"gaps", "end_s, start_s, source, cause"},
                                  {"noises", "time_s, microphone, kind"},
                                  {"microphone_minutes", "microphone, start_s"},
                                  {"calls", "call_id"},
                                  {"passages", "passage_id"}};
constexpr OldTable kOfAllShifts[] = {{"alarm_events", "event_id"},
                                     {"journal", "entry_id"},
                                     {"hand_audits", "audit_id"},
                                     {"hand_audit_rows", "audit_id, number"}};

std::string old_name(const std::string& table) {
    return "old_" + table;
}

std::vector<std::string> columns_of(SQLite::Database& database, const std::string& table) {
    SQLite::Statement query(database, "SELECT name FROM pragma_table_info(?) ORDER BY cid");
    query.bind(1, table);
    std::vector<std::string> columns;
    while (query.executeStep()) columns.push_back(query.getColumn(0).getString());
    return columns;
}

std::string joined(const std::vector<std::string>& words) {
    std::string text;
    for (const std::string& word : words) text += (text.empty() ? "" : ", ") + word;
    return text;
}

// The columns that the old table has too; others are NULL in its rows.
std::vector<std::string> shared_columns(SQLite::Database& database, const std::string& table,
                                        const std::string& from) {
    const std::vector<std::string> old = columns_of(database, from);
    std::vector<std::string> shared;
    for (const std::string& column : columns_of(database, table)) {
        for (const std::string& name : old) {
            if (name == column) shared.push_back(column);
        }
    }
    return shared;
}

// Moves rows of one table, each with the next number, chained.
class RowMover {
  public:
    RowMover(SQLite::Database& database, Ledger& ledger, const std::string& table, const std::string& from,
             const std::string& which, const std::string& order)
        : ledger_(ledger), table_(table) {
        const std::vector<std::string> columns = shared_columns(database, table, from);
        std::string places = "?";
        for (std::size_t i = 0; i < columns.size(); ++i) places += ", ?";
        const std::string list = joined(columns);
        select_.emplace(database, "SELECT " + list + " FROM " + from + which + " ORDER BY " + order);
        insert_.emplace(database, "INSERT INTO " + table + " (seq, " + list + ") VALUES (" + places + ")");
    }

    void move() {
        while (select_->executeStep()) {
            const std::int64_t seq = ledger_.next_seq();
            insert_->bind(1, seq);
            for (int i = 0; i < select_->getColumnCount(); ++i) bind(i + 2, select_->getColumn(i));
            insert_->exec();
            insert_->reset();
            ledger_.record(table_, seq);
        }
        select_->reset();
    }

    void move_of(std::int64_t shift_id) {
        select_->bind(1, shift_id);
        move();
    }

  private:
    void bind(int index, const SQLite::Column& value) {
        if (value.isNull()) {
            insert_->bind(index);
        } else if (value.isInteger()) {
            insert_->bind(index, value.getInt64());
        } else if (value.isFloat()) {
            insert_->bind(index, value.getDouble());
        } else {
            insert_->bind(index, value.getString());
        }
    }

    Ledger& ledger_;
    std::string table_;
    std::optional<SQLite::Statement> select_;
    std::optional<SQLite::Statement> insert_;
};

class Migration {
  public:
    explicit Migration(SQLite::Database& database) : database_(database) {}

    void run() {
        set_old_aside();
        database_.exec(kTables);
        database_.exec(kAddedTables);
        ledger_.emplace(database_);
        move_shifts();
        for (const OldTable& table : kOfAllShifts) {
            if (has_old(table.name)) mover(table, "").move();
        }
        check_counts();
        ledger_.reset();
        drop_old();
        make_append_only(database_);
    }

  private:
    bool has_old(const std::string& table) { return database_.tableExists(old_name(table)); }

    RowMover mover(const OldTable& table, const std::string& which) {
        return {database_, *ledger_, table.name, old_name(table.name), which, table.order};
    }

    // Renaming the old tables lets their references follow; the new ones then have the names to themselves.
    void set_old_aside() {
        database_.exec("DROP INDEX IF EXISTS shifts_open; DROP INDEX IF EXISTS alarm_events_of_alarm");
        const auto set_aside = [this](const std::string& table) {
            if (!database_.tableExists(table)) return;
            database_.exec("ALTER TABLE " + table + " RENAME TO " + old_name(table));
            old_.push_back(table);
        };
        for (const OldTable& table : kOfAShift) set_aside(table.name);
        set_aside("hand_audit_rows");
        for (const char* const table : {"alarm_events", "journal", "hand_audits", "shifts"}) set_aside(table);
    }

    // A shift with all that is its own, then the next one; last its record, as it was made when all was
    // there.
    void move_shifts() {
        RowMover shifts = mover({"shifts", "shift_id"}, " WHERE shift_id = ?");
        std::vector<RowMover> rows;
        for (const OldTable& table : kOfAShift) {
            if (has_old(table.name)) rows.push_back(mover(table, " WHERE shift_id = ?"));
        }
        RowMover records(database_, *ledger_, "shift_records", "old_shifts",
                         " WHERE shift_id = ? AND end_s IS NOT NULL", "shift_id");
        SQLite::Statement ids(database_, "SELECT shift_id FROM old_shifts ORDER BY shift_id");
        while (ids.executeStep()) {
            const std::int64_t shift_id = ids.getColumn(0).getInt64();
            shifts.move_of(shift_id);
            for (RowMover& of_table : rows) of_table.move_of(shift_id);
            records.move_of(shift_id);
        }
        database_.exec(
            "INSERT INTO shift_progress (shift_id, heard_until_s, heard_until_utc_ns) SELECT shift_id, "
            "heard_until_s, heard_until_utc_ns FROM old_shifts WHERE heard_until_s IS NOT NULL");
    }

    std::int64_t count(const std::string& rows) {
        return database_.execAndGet("SELECT count(*) FROM " + rows).getInt64();
    }

    void check_counts() {
        for (const std::string& table : old_) {
            if (count(table) != count(old_name(table))) throw std::runtime_error("rows of " + table);
        }
        if (count("shift_records") != count("old_shifts WHERE end_s IS NOT NULL"))
            throw std::runtime_error("rows of shift_records");
    }

    // Those that refer to another before it.
    void drop_old() {
        for (const std::string& table : old_) database_.exec("DROP TABLE " + old_name(table));
    }

    SQLite::Database& database_;
    std::optional<Ledger> ledger_;
    std::vector<std::string> old_;
};

std::string now_stamp(SQLite::Database& database) {
    return database.execAndGet("SELECT strftime('%Y%m%dT%H%M%SZ', 'now')").getString();
}

} // namespace

bool can_migrate_from(const std::string& version) {
    return version == "1" || version == "2" || version == "3";
}

void migrate(SQLite::Database& database, const std::string& version) {
    const std::string file = database.getFilename();
    copy_store(file, file + ".v" + version + "-" + now_stamp(database));
    Migration(database).run();
    database.exec("UPDATE meta SET value = '4' WHERE key = 'schema_version'");
}

} // namespace quietpass
