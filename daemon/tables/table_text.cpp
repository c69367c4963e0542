#include "daemon/tables/table_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "classifiers/one_line.h"

namespace quietpass {

namespace {

constexpr std::size_t kGap = 2;

// Code points of valid UTF-8; lot names have umlauts.
std::size_t width_of(const std::string& text) {
    return static_cast<std::size_t>(
        std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

std::string cut(const std::string& text, std::size_t width) {
    if (width_of(text) <= width) return text;
    std::string out;
    std::size_t taken = 0;
    for (const char c : text) {
        if ((c & 0xC0) != 0x80 && ++taken >= width) break;
        out += c;
    }
    return out + "~";
}

std::string shown(const Cell& cell, int decimals) {
    if (const auto* text = std::get_if<std::string>(&cell)) return in_one_line(*text);
    if (const auto* count = std::get_if<std::int64_t>(&cell)) return std::to_string(*count);
    if (const auto* flag = std::get_if<bool>(&cell)) return *flag ? "yes" : "no";
    if (const auto* number = std::get_if<double>(&cell)) {
        if (std::isinf(*number)) return "inf";
        if (!std::isnan(*number)) return fmt::format("{:.{}f}", *number, decimals);
    }
    return "-";
}

bool is_number(const Cell& cell) {
    return std::holds_alternative<std::int64_t>(cell) || std::holds_alternative<double>(cell);
}

std::string in_width(const std::string& text, std::size_t width, bool right) {
    const std::string fitted = cut(text, width);
    const std::string blanks(width - std::min(width, width_of(fitted)), ' ');
    return right ? blanks + fitted : fitted + blanks;
}

// What may stand on a line of its own, with what ends it.
std::vector<std::string> pieces_of(const std::string& text) {
    std::vector<std::string> pieces(1);
    for (const char c : text) {
        pieces.back() += c;
        if (c == ' ' || c == ',' || c == ';') pieces.emplace_back();
    }
    return pieces;
}

std::string without_blanks_at_end(std::string text) {
    text.erase(text.find_last_not_of(' ') + 1);
    return text;
}

// The lines of a cell in so many columns.
std::vector<std::string> folded(const std::string& text, std::size_t width) {
    std::vector<std::string> lines(1);
    for (const std::string& piece : pieces_of(text)) {
        if (!lines.back().empty() && width_of(without_blanks_at_end(lines.back() + piece)) > width)
            lines.emplace_back();
        lines.back() += piece;
    }
    for (std::string& line : lines) line = without_blanks_at_end(line);
    return lines;
}

struct TextColumn {
    std::string title;
    std::vector<std::string> cells;
    std::size_t width = 0;
    std::size_t widest_word = 0;
    bool right = false;
    bool gives_way = false;
};

TextColumn text_column(const Table& table, std::size_t place) {
    TextColumn column;
    column.title = table.columns[place].title;
    column.width = width_of(column.title);
    column.gives_way = table.columns[place].gives_way;
    for (const std::vector<Cell>& row : table.rows) {
        const Cell& cell = row[place];
        column.cells.push_back(shown(cell, table.columns[place].decimals));
        column.width = std::max(column.width, width_of(column.cells.back()));
        for (const std::string& piece : pieces_of(column.cells.back()))
            column.widest_word = std::max(column.widest_word, width_of(without_blanks_at_end(piece)));
        column.right = column.right || is_number(cell);
    }
    return column;
}

// The widest of the columns that may gives way first, down to its title and its widest word; where that is
// not enough, its words are cut.
void fit(std::vector<TextColumn>& columns) {
    std::size_t width = columns.empty() ? 0 : kGap * (columns.size() - 1);
    for (const TextColumn& column : columns) width += column.width;
    for (const bool cut_words : {false, true}) {
        while (width > kTextColumns) {
            TextColumn* widest = nullptr;
            for (TextColumn& column : columns) {
                const std::size_t least =
                    std::max({std::size_t{4}, width_of(column.title), cut_words ? 0 : column.widest_word});
                if (!column.gives_way || column.width <= least) continue;
                if (widest == nullptr || column.width > widest->width) widest = &column;
            }
            if (widest == nullptr) break;
            --widest->width;
            --width;
        }
    }
}

std::string table_text(const Table& table) {
    std::vector<TextColumn> columns;
    for (std::size_t place = 0; place < table.columns.size(); ++place) {
        if (table.columns[place].shown_to != ShownTo::kMachines) columns.push_back(text_column(table, place));
    }
    fit(columns);
    std::string out;
    const auto row_of = [&](auto cell_of_column) {
        std::vector<std::vector<std::string>> cells;
        std::size_t lines = 1;
        for (const TextColumn& column : columns) {
            cells.push_back(folded(cell_of_column(column), column.width));
            lines = std::max(lines, cells.back().size());
        }
        for (std::size_t number = 0; number < lines; ++number) {
            std::string line;
            for (std::size_t i = 0; i < columns.size(); ++i) {
                if (i > 0) line += std::string(kGap, ' ');
                line += in_width(number < cells[i].size() ? cells[i][number] : "", columns[i].width,
                                 columns[i].right);
            }
            out += without_blanks_at_end(line) + '\n';
        }
    };
    row_of([](const TextColumn& column) { return column.title; });
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        row_of([row](const TextColumn& column) { return column.cells[row]; });
    }
    return out;
}

} // namespace

std::string wrapped(const std::string& text, std::size_t hang, std::size_t columns) {
    const std::size_t blanks = std::min(text.find_first_not_of(' '), text.size());
    const std::string indent(blanks + hang, ' ');
    std::string out;
    std::string line(blanks, ' ');
    bool first = true; // word of its line
    for (std::size_t at = blanks; at < text.size();) {
        const std::size_t end = std::min(text.find(' ', at), text.size());
        const std::string word = text.substr(at, end - at);
        if (!first && width_of(line) + 1 + width_of(word) > columns) {
            out += line + '\n';
            line = indent + word;
        } else {
            line += (first ? "" : " ") + word;
        }
        first = false;
        at = end + 1;
    }
    return out + line + '\n';
}

std::string text_of(const Statement& statement) {
    std::string out;
    for (const Section& section : statement.sections) {
        if (!out.empty()) out += '\n';
        if (!section.heading.empty()) out += wrapped(in_one_line(section.heading));
        if (!section.table.rows.empty()) out += table_text(section.table);
        for (const std::string& line : section.lines) out += wrapped(in_one_line(line));
    }
    return out;
}

std::string percent_text(const std::optional<double>& share, const std::optional<Interval>& interval) {
    if (!share || !interval) return "-";
    return fmt::format("{:.1f} ({:.1f}-{:.1f})", 100.0 * *share, 100.0 * interval->low,
                       100.0 * interval->high);
}

} // namespace quietpass
