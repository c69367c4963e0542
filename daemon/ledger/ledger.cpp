#include "daemon/ledger/ledger.h"

#include <SQLiteCpp/Statement.h>
#include <sqlite3.h>

#include <cstring>
#include <map>
#include <stdexcept>
#include <string>

#include "daemon/ledger/record_line.h"

namespace quietpass {
namespace {

// The row of one table by its seq. SQLite's own interface: the line needs what SQLiteCpp doesn't show.
class RowBySeq {
  public:
    RowBySeq(sqlite3* database, std::string_view table)
        : database_(database), statement_(prepared(database, table)), line_(table, statement_) {}
    ~RowBySeq() { sqlite3_finalize(statement_); }
    RowBySeq(const RowBySeq&) = delete;
    RowBySeq& operator=(const RowBySeq&) = delete;

    std::string line(std::int64_t seq) {
        sqlite3_bind_int64(statement_, 1, seq);
        const int result = sqlite3_step(statement_);
        std::string line = result == SQLITE_ROW ? line_.read() : std::string();
        sqlite3_reset(statement_);
        if (result == SQLITE_DONE) throw std::logic_error("a record without its row");
        if (result != SQLITE_ROW) throw SQLite::Exception(database_, result);
        return line;
    }

  private:
    static sqlite3_stmt* prepared(sqlite3* database, std::string_view table) {
        const std::string sql = "SELECT * FROM " + std::string(table) + " WHERE seq = ?";
        sqlite3_stmt* statement = nullptr;
        const int result = sqlite3_prepare_v2(database, sql.c_str(), -1, &statement, nullptr);
        if (result != SQLITE_OK) throw SQLite::Exception(database, result);
        return statement;
    }

    sqlite3* database_;
    sqlite3_stmt* statement_;
    RecordLine line_;
};

// A statement that failed must be reset before it can be used again.
class ResetAfter {
  public:
    explicit ResetAfter(SQLite::Statement& statement) : statement_(statement) {}
    ~ResetAfter() { statement_.tryReset(); }
    ResetAfter(const ResetAfter&) = delete;
    ResetAfter& operator=(const ResetAfter&) = delete;

  private:
    SQLite::Statement& statement_;
};

} // namespace

struct Ledger::Parts {
    explicit Parts(SQLite::Database& database)
        : handle(database.getHandle()),
          last_entry(database, "SELECT seq, hash FROM ledger ORDER BY seq DESC LIMIT 1"),
          add_entry(database, "INSERT INTO ledger (seq, kind, hash) VALUES (?, ?, ?)") {}

    sqlite3* handle;
    SQLite::Statement last_entry;
    SQLite::Statement add_entry;
    std::map<std::string, RowBySeq, std::less<>> rows;
    Last before; // the record before the next one
};

Ledger::Ledger(SQLite::Database& database) : parts_(std::make_unique<Parts>(database)) {}
Ledger::~Ledger() = default;

Ledger::Last Ledger::last() {
    SQLite::Statement& query = parts_->last_entry;
    const ResetAfter reset(query);
    Last last;
    if (query.executeStep()) {
        last.seq = query.getColumn(0).getInt64();
        const SQLite::Column hash = query.getColumn(1);
        if (hash.getBytes() != static_cast<int>(last.hash.size()))
            throw std::logic_error("the ledger is damaged: a hash of a wrong length");
        std::memcpy(last.hash.data(), hash.getBlob(), last.hash.size());
    }
    return last;
}

// Asked anew each time: another program may have written since.
std::int64_t Ledger::next_seq() {
    parts_->before = last();
    return parts_->before.seq + 1;
}

void Ledger::record(std::string_view table, std::int64_t seq) {
    Last& before = parts_->before;
    if (seq != before.seq + 1) throw std::logic_error("a record out of its order");
    auto row = parts_->rows.find(table);
    if (row == parts_->rows.end())
        row = parts_->rows.try_emplace(std::string(table), parts_->handle, table).first;
    before.hash = next_hash(before.hash, row->second.line(seq));
    before.seq = seq;
    SQLite::Statement& add = parts_->add_entry;
    const ResetAfter reset(add);
    add.bind(1, seq);
    add.bind(2, std::string(table));
    add.bind(3, before.hash.data(), static_cast<int>(before.hash.size()));
    add.exec();
}

} // namespace quietpass
