#include "daemon/settings/toml_lines.h"

#include <algorithm>
#include <charconv>
#include <map>
#include <sstream>

#include "classifiers/toml_text.h"
#include "daemon/failure.h"

namespace quietpass {

namespace {

// As short as it can be: the library writes 0.2 as 0.20000000000000001.
std::string number_text(double value) {
    char text[32];
    const char* const end = std::to_chars(text, text + sizeof text, value).ptr;
    const std::string number(static_cast<const char*>(text), end);
    return number.find_first_not_of("-0123456789") == std::string::npos ? number + ".0" : number;
}

std::string value_of(const toml::node& node) {
    if (const auto* number = node.as_floating_point()) return number_text(number->get());
    if (const auto* array = node.as_array()) {
        std::string list;
        for (const toml::node& element : *array) list += (list.empty() ? "" : ", ") + value_of(element);
        return "[" + list + "]";
    }
    std::ostringstream text;
    text << toml::toml_formatter{
        node, toml::toml_formatter::default_flags & ~toml::format_flags::allow_literal_strings};
    return text.str();
}

std::string element_name(const toml::table& table, std::size_t number) {
    for (const char* key : {"name", "role", "kind", "measure"}) {
        if (const auto* word = table[key].as_string()) return word->get();
    }
    return std::to_string(number);
}

class Flattened {
  public:
    void add(const std::string& path, const toml::node& node) {
        if (const auto* table = node.as_table()) {
            for (const auto& [key, value] : *table)
                add(path.empty() ? std::string(key.str()) : path + "." + std::string(key.str()), value);
        } else if (const auto* array = node.as_array(); array != nullptr && array->is_array_of_tables()) {
            add_elements(path, *array);
        } else {
            lines.push_back({path, value_of(node), static_cast<int>(node.source().begin.line)});
        }
    }

    std::vector<TomlLine> lines;

  private:
    void add_elements(const std::string& path, const toml::array& array) {
        std::map<std::string, int> seen;
        std::size_t number = 0;
        for (const toml::node& element : array) {
            std::string name = element_name(*element.as_table(), ++number);
            if (const int times = ++seen[name]; times > 1) name += " " + std::to_string(times);
            add(path + "[" + name + "]", element);
        }
    }
};

} // namespace

std::vector<TomlLine> toml_lines(const std::string& text, const std::string& name) {
    try {
        Flattened flat;
        flat.add("", toml_from(text, name));
        std::stable_sort(flat.lines.begin(), flat.lines.end(),
                         [](const TomlLine& one, const TomlLine& other) { return one.line < other.line; });
        return flat.lines;
    } catch (const toml::parse_error& error) {
        std::string what(error.description());
        std::replace(what.begin(), what.end(), '\n', ' ');
        throw Failure(kExitUsage,
                      name + ":" + std::to_string(error.source().begin.line) + ": not TOML: " + what);
    }
}

std::vector<TomlDifference> toml_differences(const std::vector<TomlLine>& first,
                                             const std::vector<TomlLine>& second) {
    std::map<std::string, const TomlLine*> of_first;
    for (const TomlLine& line : first) of_first[line.key] = &line;
    std::vector<TomlDifference> differences;
    for (const TomlLine& line : second) {
        const auto found = of_first.find(line.key);
        if (found == of_first.end()) {
            differences.push_back({line.key, "", line.value, line.line});
            continue;
        }
        if (found->second->value != line.value)
            differences.push_back({line.key, found->second->value, line.value, line.line});
        of_first.erase(found);
    }
    for (const TomlLine& line : first) {
        if (of_first.contains(line.key)) differences.push_back({line.key, line.value, "", line.line});
    }
    return differences;
}

} // namespace quietpass
