#include "daemon/ledger/table_rows.h"

#include <SQLiteCpp/Exception.h>
#include <sqlite3.h>

namespace quietpass {

TableRows::TableRows(SQLite::Database& database, std::string_view table, std::int64_t from_seq)
    : database_(database.getHandle()) {
    if (!database.tableExists(std::string(table))) return;
    const std::string sql = "SELECT * FROM " + std::string(table) + " WHERE seq >= ? ORDER BY seq";
    const int result = sqlite3_prepare_v2(database_, sql.c_str(), -1, &statement_, nullptr);
    if (result != SQLITE_OK) throw SQLite::Exception(database_, result);
    sqlite3_bind_int64(statement_, 1, from_seq);
    line_.emplace(table, statement_);
    advance();
}

TableRows::~TableRows() {
    sqlite3_finalize(statement_);
}

void TableRows::advance() {
    const int result = sqlite3_step(statement_);
    at_end_ = result == SQLITE_DONE;
    if (result == SQLITE_ROW) {
        seq_ = sqlite3_column_int64(statement_, 0);
    } else if (at_end_) {
        seq_ = kEnd;
    } else {
        throw SQLite::Exception(database_, result);
    }
}

} // namespace quietpass
