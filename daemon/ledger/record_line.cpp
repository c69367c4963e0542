#include "daemon/ledger/record_line.h"

#include <sqlite3.h>

#include <array>
#include <charconv>
#include <cmath>

namespace quietpass {
namespace {

constexpr std::string_view kDigits = "0123456789abcdef";

template <typename Number>
void append_number(std::string& out, Number value) {
    std::array<char, 32> text;
    const auto end = std::to_chars(text.data(), text.data() + text.size(), value).ptr;
    out.append(text.data(), end);
}

void append_real(std::string& out, double value) {
    if (std::isinf(value)) {
        out += value < 0 ? "\"-inf\"" : "\"inf\"";
    } else {
        append_number(out, value);
    }
}

void append_hex(std::string& out, std::string_view bytes) {
    out += '"';
    for (const char letter : bytes) {
        const auto byte = static_cast<unsigned char>(letter);
        out += kDigits[byte >> 4];
        out += kDigits[byte & 15];
    }
    out += '"';
}

// sqlite3_column_bytes() is asked after the pointer, as SQLite's documentation wants it.
std::string_view text_at(sqlite3_stmt* statement, int column) {
    const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(statement, column));
    return {text, static_cast<std::size_t>(sqlite3_column_bytes(statement, column))};
}

std::string_view blob_at(sqlite3_stmt* statement, int column) {
    const auto* bytes = static_cast<const char*>(sqlite3_column_blob(statement, column));
    return {bytes, static_cast<std::size_t>(sqlite3_column_bytes(statement, column))};
}

void append_value(std::string& out, sqlite3_stmt* statement, int column) {
    switch (sqlite3_column_type(statement, column)) {
        case SQLITE_INTEGER:
            append_number(out, static_cast<std::int64_t>(sqlite3_column_int64(statement, column)));
            break;
        case SQLITE_FLOAT:
            append_real(out, sqlite3_column_double(statement, column));
            break;
        case SQLITE_BLOB:
            append_hex(out, blob_at(statement, column));
            break;
        default:
            append_quoted(out, text_at(statement, column));
    }
}

} // namespace

void append_quoted(std::string& out, std::string_view text) {
    out += '"';
    std::size_t plain_from = 0;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto byte = static_cast<unsigned char>(text[i]);
        if (byte >= 0x20 && byte != '"' && byte != '\\') continue;
        out.append(text, plain_from, i - plain_from);
        plain_from = i + 1;
        out += '\\';
        if (byte >= 0x20) {
            out += text[i];
        } else {
            out += "u00";
            out += kDigits[byte >> 4];
            out += kDigits[byte & 15];
        }
    }
    out.append(text, plain_from, text.size() - plain_from);
    out += '"';
}

RecordLine::RecordLine(std::string_view table, sqlite3_stmt* statement)
    : statement_(statement), start_("{\"kind\":") {
    append_quoted(start_, table);
    start_ += ",\"seq\":";
}

void RecordLine::read_columns() {
    columns_ = sqlite3_column_count(statement_);
    names_.clear();
    for (int column = 1; column < columns_; ++column) {
        names_ += ',';
        append_quoted(names_, sqlite3_column_name(statement_, column));
        names_ += ':';
    }
}

const std::string& RecordLine::read() {
    return read_as(sqlite3_column_int64(statement_, 0));
}

const std::string& RecordLine::read_as(std::int64_t seq) {
    // Another program may have added a column since; the statement is then prepared anew by itself.
    if (columns_ != sqlite3_column_count(statement_)) read_columns();
    line_ = start_;
    append_number(line_, seq);
    std::string_view names = names_;
    for (int column = 1; column < columns_; ++column) {
        const std::size_t length = names.find(':') + 1;
        if (sqlite3_column_type(statement_, column) != SQLITE_NULL) {
            line_.append(names.substr(0, length));
            append_value(line_, statement_, column);
        }
        names.remove_prefix(length);
    }
    line_ += '}';
    return line_;
}

} // namespace quietpass
