// One line of a CSV file, field by field: RFC 4180 quoting, lines end with a bare line feed.
//
// Numbers have fixed decimals and a point in any locale; what is missing (NaN, empty) is an empty field;
// minus zero is zero. Not thread-safe.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace quietpass {

class CsvLine {
  public:
    CsvLine& text(std::string_view value);
    CsvLine& integer(std::int64_t value);
    CsvLine& number(double value, int decimals);
    CsvLine& yes_no(bool value); // 1 or 0
    CsvLine& missing();

    // The line with its end; the next field begins a new one.
    std::string take();

  private:
    void begin_field();

    std::string line_;
    bool first_ = true;
};

} // namespace quietpass
