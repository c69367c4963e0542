// Rows of a query cell by cell without an object for each: a month of passages has most of a million cells,
// and SQLiteCpp counts a reference for each.
//
// In: a query with one `?`, an integer. Columns are counted from 0. Errors: SQLite::Exception. Not
// thread-safe; within the life of the database.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

struct sqlite3;
struct sqlite3_stmt;

namespace quietpass {

class PlainRows {
  public:
    PlainRows(SQLite::Database& database, const char* query, std::int64_t bound);

    bool next();

    std::int64_t integer(int column) const;
    std::optional<std::int64_t> optional_integer(int column) const;
    double number_or_nan(int column) const; // NULL: not a number
    std::string text(int column) const;

  private:
    struct Finalize {
        void operator()(sqlite3_stmt* statement) const;
    };

    sqlite3* database_;
    std::unique_ptr<sqlite3_stmt, Finalize> statement_;
};

} // namespace quietpass
