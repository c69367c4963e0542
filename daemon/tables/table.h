// What a command has to say, once for people and once for machines: sections of a heading, a table and lines
// of words. As text it is 80 columns wide; as CSV it is the rows of one table; as JSON one object with every
// figure, table and line.
//
// A cell without a value is a dash, an empty field or null; so is an infinite number, which a person reads as
// "inf". Numbers of a column have its decimals in text and CSV, JSON has them whole. Plain values and pure
// functions; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "classifiers/evaluation/wilson.h"

namespace quietpass {

enum class Output { kText, kCsv, kJson };

using Cell = std::variant<std::monostate, std::string, std::int64_t, double, bool>;

template <typename Value>
Cell cell_of(const std::optional<Value>& value) {
    return value ? Cell(*value) : Cell();
}

enum class ShownTo { kAll, kPeople, kMachines };

struct Column {
    std::string key;   // of CSV and JSON
    std::string title; // of text
    int decimals = 2;
    ShownTo shown_to = ShownTo::kAll;
    // Words that go on below, broken after a blank, comma or semicolon, where 80 columns don't hold the
    // table; cut within a word, with a ~, only where that doesn't do.
    bool gives_way = false;
};

struct Table {
    std::vector<Column> columns;
    std::vector<std::vector<Cell>> rows; // each as long as columns
};

struct Section {
    std::string key;     // of JSON
    std::string heading; // of text; may be empty
    Table table;
    std::vector<std::string> lines; // below the table
};

struct Figure {
    std::string key;
    Cell value;
};

struct Statement {
    std::vector<Figure> figures; // for machines; the text has them in its words
    std::vector<Section> sections;
    std::size_t csv_section = 0; // whose table is the CSV
};

std::string written(const Statement& statement, Output output);

// "8.0 (4.1-15.0)", a share in percent with its interval; a dash where there is none.
std::string percent_text(const std::optional<double>& share, const std::optional<Interval>& interval);

} // namespace quietpass
