// Reads a table of text line by line, cells by the names in its header: CSV (quotes as in RFC 4180; a quoted
// cell may hold line ends) or tab-separated (nothing is quoted).
//
// Empty lines, a byte-order mark and CR LF are accepted; a line shorter than the header has empty cells at
// its end. Errors: Failure, one line with file and line number; exit code 1 for a file that can't be read, 2
// for what stands in it. One thread.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <optional>
#include <string>
#include <vector>

namespace quietpass {

enum class Delimiter : char { kComma = ',', kTab = '\t' };

class DelimitedTable {
  public:
    DelimitedTable(std::filesystem::path file, Delimiter delimiter);

    // The next line; false at the end.
    bool next();

    bool has(const char* column) const;
    const std::string& cell(const char* column) const; // fails without such a column
    std::string cell_or_empty(const char* column) const;

    double seconds(const char* column) const;                    // not negative
    std::optional<double> number(const char* column) const;      // finite; nothing for an empty cell
    std::optional<std::int64_t> count(const char* column) const; // not negative; nothing for an empty cell
    std::optional<bool> yes_no(const char* column) const;        // 1, 0; nothing for an empty cell

    // Failure at the line that was read last.
    [[noreturn]] void fail(const std::string& what) const;

  private:
    bool read_cells();
    const std::string* find(const char* column) const;
    [[noreturn]] void fail_at(const char* column, const std::string& expected) const;

    std::filesystem::path file_;
    char delimiter_;
    std::ifstream in_;
    std::size_t line_ = 0;
    std::vector<std::string> names_;
    std::vector<std::string> cells_;
};

// A finite decimal number that is the whole text.
std::optional<double> number_in(const std::string& text);

} // namespace quietpass
