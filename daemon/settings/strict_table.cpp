#include "daemon/settings/strict_table.h"

#include <algorithm>
#include <charconv>

#include "daemon/failure.h"
#include "daemon/settings/near_miss.h"

namespace quietpass {

namespace {

std::string plain(double value) {
    char digits[64];
    const auto [end, error] = std::to_chars(digits, digits + sizeof digits, value);
    return {digits, end};
}

std::string in_quotes(std::string_view text) {
    std::string result(1, '"');
    result += text;
    result += '"';
    return result;
}

std::string found(const toml::node& node) {
    if (const auto text = node.value_exact<std::string>()) return "found " + in_quotes(*text);
    if (const auto whole = node.value_exact<std::int64_t>()) return "found " + std::to_string(*whole);
    if (const auto number = node.value_exact<double>()) return "found " + plain(*number);
    if (const auto flag = node.value_exact<bool>()) return *flag ? "found true" : "found false";
    if (node.is_table()) return "found a table";
    if (node.is_array()) return "found a list";
    return "found a date or time";
}

std::string one_of(const std::vector<std::string_view>& words) {
    std::string list;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) list += i + 1 == words.size() ? " or " : ", ";
        list += in_quotes(words[i]);
    }
    return list;
}

std::string range_words(const NumberRange& range) {
    return std::string(range.what) + (range.above ? " above " : " from ") + plain(range.lowest) +
           (range.above ? " and up to " : " to ") + plain(range.highest);
}

bool within(const NumberRange& range, double value) {
    return (range.above ? value > range.lowest : value >= range.lowest) && value <= range.highest;
}

bool has_control_characters(std::string_view text) {
    return std::any_of(text.begin(), text.end(),
                       [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; });
}

} // namespace

StrictTable::StrictTable(const toml::table& table, std::string file, std::string path)
    : table_(table), file_(std::move(file)), path_(std::move(path)) {}

std::string StrictTable::text(std::string_view key, std::string_view expected) {
    const toml::node* const node = ask(key);
    if (node == nullptr) missing(key, std::string(expected));
    return text_of(*node, key, expected);
}

std::string StrictTable::text_or(std::string_view key, std::string_view expected, std::string fallback) {
    if (has(key)) return text(key, expected);
    ask(key);
    return fallback;
}

double StrictTable::number(std::string_view key, const NumberRange& range) {
    const toml::node* const node = ask(key);
    if (node == nullptr) missing(key, range_words(range));
    if (!node->is_number() || !within(range, node->value_or(0.0))) {
        fail(key, "expected " + range_words(range) + ", " + found(*node));
    }
    return node->value_or(0.0);
}

double StrictTable::number_or(std::string_view key, const NumberRange& range, double fallback) {
    if (has(key)) return number(key, range);
    ask(key);
    return fallback;
}

bool StrictTable::flag_or(std::string_view key, bool fallback) {
    const toml::node* const node = ask(key);
    if (node == nullptr) return fallback;
    const auto flag = node->value_exact<bool>();
    if (!flag) fail(key, "expected true or false, " + found(*node));
    return *flag;
}

std::size_t StrictTable::word(std::string_view key, const std::vector<std::string_view>& words) {
    const toml::node* const node = ask(key);
    if (node == nullptr) missing(key, one_of(words));
    return word_of(*node, key, words);
}

std::size_t StrictTable::word_or(std::string_view key, const std::vector<std::string_view>& words,
                                 std::size_t fallback) {
    const toml::node* const node = ask(key);
    return node == nullptr ? fallback : word_of(*node, key, words);
}

std::vector<std::size_t> StrictTable::words_or_none(std::string_view key,
                                                    const std::vector<std::string_view>& words) {
    const toml::node* const node = ask(key);
    if (node == nullptr) return {};
    const toml::array* const list = node->as_array();
    if (list == nullptr || list->empty())
        fail(key, "expected a list of " + one_of(words) + ", " + found(*node));
    std::vector<std::size_t> indices;
    for (const toml::node& item : *list) {
        const std::size_t index = word_of(item, key, words);
        if (std::find(indices.begin(), indices.end(), index) != indices.end()) {
            fail(key, "expected each once, found " + in_quotes(words[index]) + " twice");
        }
        indices.push_back(index);
    }
    return indices;
}

std::vector<std::string> StrictTable::texts(std::string_view key, std::string_view expected) {
    if (!has(key)) missing(key, std::string(expected));
    return texts_or_none(key, expected);
}

std::vector<std::string> StrictTable::texts_or_none(std::string_view key, std::string_view expected) {
    const toml::node* const node = ask(key);
    if (node == nullptr) return {};
    const toml::array* const list = node->as_array();
    if (list == nullptr || list->empty())
        fail(key, "expected " + std::string(expected) + ", " + found(*node));
    std::vector<std::string> texts;
    for (const toml::node& item : *list) texts.push_back(text_of(item, key, expected));
    return texts;
}

const toml::table* StrictTable::table_or_null(std::string_view key) {
    const toml::node* const node = ask(key);
    if (node == nullptr) return nullptr;
    if (!node->is_table()) fail(key, "expected a table, written [" + std::string(key) + "], " + found(*node));
    return node->as_table();
}

std::vector<const toml::table*> StrictTable::tables(std::string_view key) {
    const toml::node* const node = ask(key);
    if (node == nullptr) return {};
    const std::string expected = "expected a list of tables, each written [[" + std::string(key) + "]], ";
    const toml::array* const list = node->as_array();
    if (list == nullptr) fail(key, expected + found(*node));
    std::vector<const toml::table*> tables;
    for (const toml::node& item : *list) {
        if (!item.is_table()) fail(key, expected + found(item));
        tables.push_back(item.as_table());
    }
    return tables;
}

void StrictTable::finish() const {
    const toml::table::const_iterator end = table_.end();
    auto first = end;
    for (auto entry = table_.begin(); entry != end; ++entry) {
        if (std::find(known_.begin(), known_.end(), entry->first.str()) != known_.end()) continue;
        if (first == end || entry->first.source().begin < first->first.source().begin) first = entry;
    }
    if (first == end) return;
    const std::string key(first->first.str());
    const auto meant = near_miss(key, known_);
    std::string list;
    for (const std::string_view known : known_) list += (list.empty() ? "" : ", ") + std::string(known);
    fail(key, meant ? "unknown key; did you mean " + std::string(*meant) + "?"
                    : "unknown key; expected one of " + list);
}

void StrictTable::fail(std::string_view key, const std::string& what) const {
    // A key's own place, since a [table]'s value begins below it; a table's place when the key is not there.
    auto line = table_.source().begin.line;
    const auto entry = table_.find(key);
    if (entry != table_.end()) line = entry->first.source().begin.line;
    std::string place = file_;
    if (line > 0) place.append(":").append(std::to_string(line));
    throw Failure(kExitUsage,
                  place + ": " + (path_.empty() ? "" : path_ + ".") + std::string(key) + ": " + what);
}

// A key of this table that is nearly this one, and no other that was asked for, may be it, mistyped.
void StrictTable::missing(std::string_view key, const std::string& expected) const {
    std::string what = "is missing: expected " + expected;
    for (const auto& [other, value] : table_) {
        if (std::find(known_.begin(), known_.end(), other.str()) != known_.end()) continue;
        if (!near_miss(other.str(), {key})) continue;
        what += "; is it meant by " + std::string(other.str()) + " in line " +
                std::to_string(other.source().begin.line) + "?";
        break;
    }
    fail(key, what);
}

const toml::node* StrictTable::ask(std::string_view key) {
    known_.push_back(key);
    return table_.get(key);
}

std::string StrictTable::text_of(const toml::node& node, std::string_view key,
                                 std::string_view expected) const {
    const auto text = node.value_exact<std::string>();
    if (text && has_control_characters(*text)) {
        fail(key, "expected " + std::string(expected) + ", found a line break or a control character in it");
    }
    if (!text || text->empty()) fail(key, "expected " + std::string(expected) + ", " + found(node));
    return *text;
}

std::size_t StrictTable::word_of(const toml::node& node, std::string_view key,
                                 const std::vector<std::string_view>& words) const {
    const auto text = node.value_exact<std::string>();
    for (std::size_t i = 0; text && i < words.size(); ++i) {
        if (*text == words[i]) return i;
    }
    const auto meant = text ? near_miss(*text, words) : std::nullopt;
    fail(key, "expected " + one_of(words) + ", " + found(node) +
                  (meant ? "; did you mean " + in_quotes(*meant) + "?" : ""));
}

} // namespace quietpass
