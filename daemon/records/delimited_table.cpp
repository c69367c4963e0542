#include "daemon/records/delimited_table.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <utility>

#include "daemon/failure.h"

namespace quietpass {

namespace {

// False: a quote is open at the end, the cell goes on in the next line.
bool cut(const std::string& text, char delimiter, std::vector<std::string>& cells) {
    const bool quotes = delimiter == ',';
    cells.assign(1, {});
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char letter = text[i];
        if (quoted) {
            if (letter != '"')
                cells.back() += letter;
            else if (i + 1 < text.size() && text[i + 1] == '"')
                cells.back() += text[++i];
            else
                quoted = false;
        } else if (letter == delimiter) {
            cells.emplace_back();
        } else if (quotes && letter == '"' && cells.back().empty()) {
            quoted = true;
        } else {
            cells.back() += letter;
        }
    }
    return !quoted;
}

} // namespace

std::optional<double> number_in(const std::string& text) {
    double value = 0.0;
    const char* const end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, value);
    if (error != std::errc() || stop != end || !std::isfinite(value)) return std::nullopt;
    return value;
}

DelimitedTable::DelimitedTable(std::filesystem::path file, Delimiter delimiter)
    : file_(std::move(file)), delimiter_(static_cast<char>(delimiter)), in_(file_, std::ios::binary) {
    if (!in_ || std::filesystem::is_directory(file_))
        throw Failure(kExitFailure, file_.string() + ": can't be read; name a readable file");
    if (!read_cells()) {
        line_ = 1;
        fail(std::string("empty; expected a header line with ") + (delimiter_ == '\t' ? "tab" : "comma") +
             "-separated column names");
    }
    names_ = cells_;
}

bool DelimitedTable::next() {
    return read_cells();
}

bool DelimitedTable::read_cells() {
    std::string text;
    std::string line;
    bool open = false;
    while (std::getline(in_, line)) {
        ++line_;
        if (!line.empty() && line.back() == '\r') line.pop_back();
        if (line_ == 1 && line.starts_with("\xEF\xBB\xBF")) line.erase(0, 3);
        if (!open && line.empty()) continue;
        text += open ? "\n" + line : line;
        open = !cut(text, delimiter_, cells_);
        if (!open) return true;
    }
    if (open) fail("a quote is never closed");
    return false;
}

bool DelimitedTable::has(const char* column) const {
    return std::find(names_.begin(), names_.end(), column) != names_.end();
}

const std::string* DelimitedTable::find(const char* column) const {
    const auto place =
        static_cast<std::size_t>(std::find(names_.begin(), names_.end(), column) - names_.begin());
    return place < cells_.size() && place < names_.size() ? &cells_[place] : nullptr;
}

const std::string& DelimitedTable::cell(const char* column) const {
    const std::string* found = find(column);
    if (found == nullptr) fail(std::string("no column \"") + column + "\"");
    return *found;
}

std::string DelimitedTable::cell_or_empty(const char* column) const {
    const std::string* found = find(column);
    return found == nullptr ? std::string() : *found;
}

double DelimitedTable::seconds(const char* column) const {
    const std::optional<double> value = number_in(cell(column));
    if (!value || *value < 0) fail_at(column, "seconds");
    return *value;
}

std::optional<double> DelimitedTable::number(const char* column) const {
    if (cell_or_empty(column).empty()) return std::nullopt;
    const std::optional<double> value = number_in(cell(column));
    if (!value) fail_at(column, "a number");
    return value;
}

std::optional<std::int64_t> DelimitedTable::count(const char* column) const {
    const std::string text = cell_or_empty(column);
    if (text.empty()) return std::nullopt;
    std::int64_t value = 0;
    const char* const end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, value);
    if (error != std::errc() || stop != end || value < 0) fail_at(column, "a whole number");
    return value;
}

std::optional<bool> DelimitedTable::yes_no(const char* column) const {
    const std::string text = cell_or_empty(column);
    if (text.empty()) return std::nullopt;
    if (text != "0" && text != "1") fail_at(column, "1 (yes) or 0 (no)");
    return text == "1";
}

void DelimitedTable::fail(const std::string& what) const {
    throw Failure(kExitUsage, file_.string() + ":" + std::to_string(line_) + ": " + what);
}

void DelimitedTable::fail_at(const char* column, const std::string& expected) const {
    fail(std::string(column) + ": expected " + expected + ", got \"" + cell(column) + "\"");
}

} // namespace quietpass
