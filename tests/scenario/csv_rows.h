// The rows of a CSV or TSV file as tests read them back: by column name, without quoted fields.
#pragma once

#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace quietpass::scenario {

using CsvRow = std::map<std::string, std::string>;

inline std::vector<std::string> fields_in(const std::string& line, char separator) {
    std::vector<std::string> fields(1);
    for (const char letter : line) {
        if (letter == separator)
            fields.emplace_back();
        else
            fields.back() += letter;
    }
    return fields;
}

inline std::vector<CsvRow> csv_rows(const std::string& text, char separator = ',') {
    std::istringstream in(text);
    std::string line;
    std::getline(in, line);
    const std::vector<std::string> names = fields_in(line, separator);
    std::vector<CsvRow> rows;
    while (std::getline(in, line)) {
        const std::vector<std::string> fields = fields_in(line, separator);
        CsvRow row;
        for (std::size_t i = 0; i < names.size(); ++i) row[names[i]] = i < fields.size() ? fields[i] : "";
        rows.push_back(row);
    }
    return rows;
}

} // namespace quietpass::scenario
