// The canonical line of a record: what is hashed. UTF-8 without a line end, a JSON object:
//   {"kind":"passages","seq":123,"shift_id":1,…}
// with kind (the table), seq, then every column that is not NULL in the table's order. No spaces; integers
// plain; reals as the shortest text that reads back to the same double (std::to_chars), an infinite one as
// "inf" or "-inf" in quotes; in text only `"`, `\` and control characters (below U+0020) are escaped, as
// `\"`,
// `\\` and `\u00xx`; blobs as hex in quotes. A column added later is NULL in old rows and changes no old
// line.
//
// Two different rows never give the same line. Not thread-safe.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

struct sqlite3_stmt;

namespace quietpass {

void append_quoted(std::string& out, std::string_view text);

// Lines of the rows that one statement gives: `SELECT * FROM table …`, seq the first column.
class RecordLine {
  public:
    RecordLine(std::string_view table, sqlite3_stmt* statement);

    // Of the row that the statement stands on; valid until the next call.
    const std::string& read();
    // The same as if its seq were another.
    const std::string& read_as(std::int64_t seq);

  private:
    void read_columns();

    sqlite3_stmt* statement_;
    std::string start_;
    std::string names_; // `,"name":` of every column, one after another
    std::string line_;
    int columns_ = 0;
};

} // namespace quietpass
