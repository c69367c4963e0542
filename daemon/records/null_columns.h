// Whole numbers that may be NULL, as statements take and give them.
#pragma once

#include <SQLiteCpp/Column.h>
#include <SQLiteCpp/Statement.h>

#include <cstdint>
#include <optional>

namespace quietpass {

inline void bind_or_null(SQLite::Statement& statement, int at, const std::optional<std::int64_t>& value) {
    if (value)
        statement.bind(at, *value);
    else
        statement.bind(at);
}

inline std::optional<std::int64_t> whole_or_null(const SQLite::Column& column) {
    return column.isNull() ? std::nullopt : std::optional(column.getInt64());
}

} // namespace quietpass
