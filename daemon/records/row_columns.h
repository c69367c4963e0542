// A row's columns from left to right, each asked for once; NULL is nothing, or of a number kNever.
//
// Within the life of the statement and its present row. Errors: SQLite::Exception. Not thread-safe.
#pragma once

#include <SQLiteCpp/Statement.h>

#include <cstdint>
#include <optional>
#include <string>

#include "daemon/passages/passage.h"

namespace quietpass {

class Columns {
  public:
    explicit Columns(SQLite::Statement& statement) : statement_(statement) {}

    std::int64_t integer() { return statement_.getColumn(index_++).getInt64(); }
    int small() { return statement_.getColumn(index_++).getInt(); }
    bool yes_no() { return integer() != 0; }
    std::string text() { return statement_.getColumn(index_++).getString(); }
    double number() {
        const SQLite::Column column = statement_.getColumn(index_++);
        return column.isNull() ? kNever : column.getDouble();
    }
    bool next_is_null() { return statement_.getColumn(index_).isNull(); }
    template <typename Read>
    auto optional(Read read) -> std::optional<decltype(read(*this))> {
        if (next_is_null()) {
            ++index_;
            return std::nullopt;
        }
        return read(*this);
    }
    std::optional<std::int64_t> optional_integer() {
        return optional([](Columns& columns) { return columns.integer(); });
    }
    std::optional<double> optional_number() {
        return optional([](Columns& columns) { return columns.number(); });
    }

  private:
    SQLite::Statement& statement_;
    int index_ = 0;
};

} // namespace quietpass
