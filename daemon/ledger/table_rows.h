// The rows of one evidence table in the order of their numbers, from one on, with their canonical lines. A
// table that isn't there has none. Inside the caller's snapshot; one thread. Errors: SQLite::Exception.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>

#include "daemon/ledger/record_line.h"

struct sqlite3;

namespace quietpass {

class TableRows {
  public:
    static constexpr std::int64_t kFirst = std::numeric_limits<std::int64_t>::min(); // also what is no number
    static constexpr std::int64_t kEnd = std::numeric_limits<std::int64_t>::max();

    TableRows(SQLite::Database& database, std::string_view table, std::int64_t from_seq = kFirst);
    ~TableRows();
    TableRows(const TableRows&) = delete;
    TableRows& operator=(const TableRows&) = delete;

    bool at_end() const { return at_end_; }
    std::int64_t seq() const { return seq_; } // kEnd after the last
    const std::string& line() { return line_->read(); }
    // The same if its number were another.
    const std::string& line_as(std::int64_t seq) { return line_->read_as(seq); }
    void advance();

  private:
    sqlite3* database_;
    sqlite3_stmt* statement_ = nullptr;
    std::optional<RecordLine> line_;
    std::int64_t seq_ = kEnd;
    bool at_end_ = true;
};

} // namespace quietpass
