#include "tests/scenario/strict_table.h"

#include <cmath>
#include <cstdio>
#include <sstream>

#include "daemon/failure.h"

namespace quietpass::scenario {

namespace {

std::string plain(double value) {
    char text[40];
    std::snprintf(text, sizeof text, "%g", value);
    return text;
}

std::string shown(const toml::node& node) {
    std::ostringstream out;
    node.visit([&out](const auto& value) { out << value; });
    std::string text = out.str();
    for (char& letter : text) {
        if (letter == '\n') letter = ' ';
    }
    if (text.size() > 60) text = text.substr(0, 57) + "...";
    return text;
}

} // namespace

StrictTable::StrictTable(const std::string& file, const std::string& name, const toml::table* table)
    : file_(file), name_(name), table_(table) {}

bool StrictTable::has(const char* key) const {
    return table_ != nullptr && table_->contains(key);
}

const toml::node* StrictTable::node(const char* key) {
    asked_.insert(key);
    return table_ == nullptr ? nullptr : table_->get(key);
}

void StrictTable::complain(const char* key, const std::string& what) const {
    unsigned line = 1;
    if (table_ != nullptr) {
        line = table_->source().begin.line;
        const toml::node* at = table_->get(key);
        if (at != nullptr && at->source().begin.line != 0) line = at->source().begin.line;
    }
    const std::string path = name_.empty() ? key : name_ + "." + key;
    throw Failure(kExitUsage, file_ + ":" + std::to_string(line == 0 ? 1 : line) + ": " + path + ": " + what);
}

void StrictTable::wrong(const char* key, const std::string& expected) const {
    complain(key, "expected " + expected + ", found " + shown(*table_->get(key)));
}

double StrictTable::checked(const char* key, const toml::node& node, double least, double most) const {
    const auto value = node.value<double>();
    if (!node.is_number() || !value || !std::isfinite(*value) || *value < least || *value > most) {
        wrong(key, "a number from " + plain(least) + " to " + plain(most));
    }
    return *value;
}

double StrictTable::number(const char* key, double fallback, double least, double most) {
    const toml::node* found = node(key);
    return found == nullptr ? fallback : checked(key, *found, least, most);
}

int StrictTable::integer(const char* key, int fallback, int least, int most) {
    const toml::node* found = node(key);
    if (found == nullptr) return fallback;
    const auto value = found->value_exact<int64_t>();
    if (!value || *value < least || *value > most) {
        wrong(key, "a whole number from " + std::to_string(least) + " to " + std::to_string(most));
    }
    return static_cast<int>(*value);
}

bool StrictTable::flag(const char* key, bool fallback) {
    const toml::node* found = node(key);
    if (found == nullptr) return fallback;
    if (!found->is_boolean()) wrong(key, "true or false");
    return *found->value_exact<bool>();
}

std::string StrictTable::text(const char* key, const std::string& fallback) {
    const toml::node* found = node(key);
    if (found == nullptr) return fallback;
    if (!found->is_string()) wrong(key, "a text");
    return *found->value_exact<std::string>();
}

std::string StrictTable::word(const char* key, const std::string& fallback,
                              const std::vector<std::string>& words) {
    const std::string found = text(key, fallback);
    std::string list;
    for (const std::string& word : words) {
        if (found == word) return found;
        list += (list.empty() ? "" : ", ") + word;
    }
    if (!has(key)) return found;
    wrong(key, "one of " + list);
}

std::vector<std::string> StrictTable::texts(const char* key, const std::vector<std::string>& fallback) {
    const toml::node* found = node(key);
    if (found == nullptr) return fallback;
    const toml::array* array = found->as_array();
    if (array == nullptr) wrong(key, "a list of texts");
    std::vector<std::string> values;
    for (const toml::node& item : *array) {
        if (!item.is_string()) wrong(key, "a list of texts");
        values.push_back(*item.value_exact<std::string>());
    }
    return values;
}

std::vector<double> StrictTable::numbers(const char* key, const std::vector<double>& fallback, double least,
                                         double most) {
    const toml::node* found = node(key);
    if (found == nullptr) return fallback;
    const toml::array* array = found->as_array();
    if (array == nullptr || array->empty()) wrong(key, "a list of numbers");
    std::vector<double> values;
    for (const toml::node& item : *array) values.push_back(checked(key, item, least, most));
    return values;
}

StrictTable StrictTable::child(const char* key) {
    const std::string path = name_.empty() ? key : name_ + "." + key;
    const toml::node* found = node(key);
    if (found == nullptr) return StrictTable(file_, path, nullptr);
    if (!found->is_table()) wrong(key, "a table");
    return StrictTable(file_, path, found->as_table());
}

std::vector<StrictTable> StrictTable::children(const char* key) {
    const std::string path = name_.empty() ? key : name_ + "." + key;
    const toml::node* found = node(key);
    if (found == nullptr) return {};
    const toml::array* array = found->as_array();
    if (array == nullptr) wrong(key, "a list of tables");
    std::vector<StrictTable> tables;
    for (const toml::node& item : *array) {
        if (!item.is_table()) wrong(key, "a list of tables");
        tables.emplace_back(file_, path, item.as_table());
    }
    return tables;
}

std::vector<std::string> StrictTable::keys() const {
    std::vector<std::string> names;
    if (table_ == nullptr) return names;
    for (const auto& [key, value] : *table_) names.emplace_back(key.str());
    return names;
}

void StrictTable::done() const {
    for (const std::string& key : keys()) {
        if (asked_.contains(key)) continue;
        std::string list;
        for (const std::string& known : asked_) list += (list.empty() ? "" : ", ") + known;
        complain(key.c_str(), "unknown key, expected one of: " + list);
    }
}

} // namespace quietpass::scenario
