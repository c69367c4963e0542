// A TOML file as a flat list of what it says, so that people can read which line says what, and compare two.
//
// A key is its path: "scoring.limit_percent"; in lists of tables an element has its name, else its role,
// kind or measure, else its number from 1 on: "contact[held].input", "card[moo].gates[duration_s].min". A
// second element of the same name is "…[held 2]". Pure; any thread. Errors: Failure (exit 2), one line, for
// what is no TOML.
#pragma once

#include <string>
#include <vector>

namespace quietpass {

struct TomlLine {
    std::string key;
    std::string value; // as TOML writes it
    int line = 0;      // from 1 on
};

// name: of the file, for the failure.
std::vector<TomlLine> toml_lines(const std::string& text, const std::string& name); // in the file's order

struct TomlDifference {
    std::string key;
    std::string first; // empty: it isn't there
    std::string second;
    int line = 0; // of the second; of the first where it isn't in the second
};

// In the second's order, then what it lacks.
std::vector<TomlDifference> toml_differences(const std::vector<TomlLine>& first,
                                             const std::vector<TomlLine>& second);

} // namespace quietpass
