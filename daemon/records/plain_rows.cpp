#include "daemon/records/plain_rows.h"

#include <SQLiteCpp/Exception.h>
#include <sqlite3.h>

#include <limits>

namespace quietpass {

void PlainRows::Finalize::operator()(sqlite3_stmt* statement) const {
    sqlite3_finalize(statement);
}

PlainRows::PlainRows(SQLite::Database& database, const char* query, std::int64_t bound)
    : database_(database.getHandle()) {
    sqlite3_stmt* statement = nullptr;
    const int result = sqlite3_prepare_v2(database_, query, -1, &statement, nullptr);
    statement_.reset(statement);
    if (result != SQLITE_OK) throw SQLite::Exception(database_, result);
    sqlite3_bind_int64(statement, 1, bound);
}

bool PlainRows::next() {
    const int result = sqlite3_step(statement_.get());
    if (result != SQLITE_ROW && result != SQLITE_DONE) throw SQLite::Exception(database_, result);
    return result == SQLITE_ROW;
}

std::int64_t PlainRows::integer(int column) const {
    return sqlite3_column_int64(statement_.get(), column);
}

std::optional<std::int64_t> PlainRows::optional_integer(int column) const {
    if (sqlite3_column_type(statement_.get(), column) == SQLITE_NULL) return std::nullopt;
    return integer(column);
}

double PlainRows::number_or_nan(int column) const {
    if (sqlite3_column_type(statement_.get(), column) == SQLITE_NULL) {
        return std::numeric_limits<double>::quiet_NaN();
    }
    return sqlite3_column_double(statement_.get(), column);
}

std::string PlainRows::text(int column) const {
    const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(statement_.get(), column));
    const auto bytes = static_cast<std::size_t>(sqlite3_column_bytes(statement_.get(), column));
    return text == nullptr ? std::string() : std::string(text, bytes);
}

} // namespace quietpass
