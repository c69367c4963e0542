#include "daemon/tables/table.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "daemon/records/csv_line.h"
#include "daemon/tables/table_text.h"

namespace quietpass {

namespace {

using Json = nlohmann::ordered_json;

Json json_of(const Cell& cell) {
    if (const auto* text = std::get_if<std::string>(&cell)) return *text;
    if (const auto* count = std::get_if<std::int64_t>(&cell)) return *count;
    if (const auto* flag = std::get_if<bool>(&cell)) return *flag;
    if (const auto* number = std::get_if<double>(&cell)) {
        if (std::isfinite(*number)) return *number;
    }
    return nullptr;
}

Json json_of(const Table& table) {
    Json rows = Json::array();
    for (const std::vector<Cell>& row : table.rows) {
        Json object = Json::object();
        for (std::size_t place = 0; place < table.columns.size(); ++place) {
            const Column& column = table.columns[place];
            if (column.shown_to != ShownTo::kPeople) object[column.key] = json_of(row[place]);
        }
        rows.push_back(object);
    }
    return rows;
}

std::string json_text(const Statement& statement) {
    Json object = Json::object();
    for (const Figure& figure : statement.figures) object[figure.key] = json_of(figure.value);
    Json lines = Json::array();
    for (const Section& section : statement.sections) {
        if (!section.table.columns.empty()) object[section.key] = json_of(section.table);
        for (const std::string& line : section.lines) lines.push_back(line);
    }
    object["words"] = lines;
    // A name that is no UTF-8 must not cost the figures.
    return object.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

void put(CsvLine& line, const Cell& cell, int decimals) {
    if (const auto* text = std::get_if<std::string>(&cell)) {
        line.text(*text);
    } else if (const auto* count = std::get_if<std::int64_t>(&cell)) {
        line.integer(*count);
    } else if (const auto* flag = std::get_if<bool>(&cell)) {
        line.yes_no(*flag);
    } else if (const auto* number = std::get_if<double>(&cell)) {
        line.number(*number, decimals);
    } else {
        line.missing();
    }
}

std::string csv_text(const Table& table) {
    CsvLine line;
    for (const Column& column : table.columns) {
        if (column.shown_to != ShownTo::kPeople) line.text(column.key);
    }
    std::string out = line.take();
    for (const std::vector<Cell>& row : table.rows) {
        for (std::size_t place = 0; place < table.columns.size(); ++place) {
            const Column& column = table.columns[place];
            if (column.shown_to != ShownTo::kPeople) put(line, row[place], column.decimals);
        }
        out += line.take();
    }
    return out;
}

} // namespace

std::string written(const Statement& statement, Output output) {
    switch (output) {
        case Output::kCsv:
            return csv_text(statement.sections.at(statement.csv_section).table);
        case Output::kJson:
            return json_text(statement);
        case Output::kText:
            break;
    }
    return text_of(statement);
}

} // namespace quietpass
