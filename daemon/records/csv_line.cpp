#include "daemon/records/csv_line.h"

#include <array>
#include <charconv>
#include <cmath>
#include <utility>

namespace quietpass {

void CsvLine::begin_field() {
    if (!first_) line_ += ',';
    first_ = false;
}

CsvLine& CsvLine::text(std::string_view value) {
    begin_field();
    if (value.find_first_of(",\"\r\n") == std::string_view::npos) {
        line_ += value;
        return *this;
    }
    line_ += '"';
    for (const char c : value) {
        if (c == '"') line_ += '"';
        line_ += c;
    }
    line_ += '"';
    return *this;
}

CsvLine& CsvLine::integer(std::int64_t value) {
    begin_field();
    line_ += std::to_string(value);
    return *this;
}

CsvLine& CsvLine::number(double value, int decimals) {
    begin_field();
    if (!std::isfinite(value)) return *this;
    std::array<char, 400> digits{}; // the longest double in fixed notation has 309 digits before the point
    const auto [end, error] = std::to_chars(digits.data(), digits.data() + digits.size(), value,
                                            std::chars_format::fixed, decimals);
    if (error != std::errc()) return *this;
    std::string_view shown(digits.data(), static_cast<std::size_t>(end - digits.data()));
    if (shown.front() == '-' && shown.find_first_of("123456789") == std::string_view::npos)
        shown.remove_prefix(1);
    line_ += shown;
    return *this;
}

CsvLine& CsvLine::yes_no(bool value) {
    return integer(value ? 1 : 0);
}

CsvLine& CsvLine::missing() {
    return text("");
}

std::string CsvLine::take() {
    first_ = true;
    line_ += '\n';
    return std::exchange(line_, {});
}

} // namespace quietpass
