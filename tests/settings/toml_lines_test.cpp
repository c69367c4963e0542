// A TOML file as lines that can be read and compared.

#include "daemon/settings/toml_lines.h"

#include <catch2/catch.hpp>

#include "daemon/failure.h"

using namespace quietpass;

namespace {

std::vector<std::string> shown(const std::vector<TomlLine>& lines) {
    std::vector<std::string> texts;
    for (const TomlLine& line : lines)
        texts.push_back(std::to_string(line.line) + " " + line.key + " = " + line.value);
    return texts;
}

std::vector<std::string> shown(const std::vector<TomlDifference>& differences) {
    std::vector<std::string> texts;
    for (const TomlDifference& one : differences)
        texts.push_back(one.key + ": " + one.first + " -> " + one.second);
    return texts;
}

} // namespace

TEST_CASE("Each key of a TOML file is a line with its path, and elements of lists have their own names") {
    const char* text = R"([scoring]
limit_percent = 5.0
[[contact]]
role = "held"
[[contact]]
role = "held"
inverted = true
[[shift]]
start = "06:00"
days = ["mon", "tue"]
[[card]]
kind = "moo"
gates = [ { measure = "duration_s", min = 0.2 } ]
)";
    CHECK(shown(toml_lines(text, "a.toml")) ==
          std::vector<std::string>{"2 scoring.limit_percent = 5.0", "4 contact[held].role = \"held\"",
                                   "6 contact[held 2].role = \"held\"", "7 contact[held 2].inverted = true",
                                   "9 shift[1].start = \"06:00\"", "10 shift[1].days = [\"mon\", \"tue\"]",
                                   "12 card[moo].kind = \"moo\"",
                                   "13 card[moo].gates[duration_s].measure = \"duration_s\"",
                                   "13 card[moo].gates[duration_s].min = 0.2"});
}

TEST_CASE("Two TOML files differ in what one of them says otherwise or not at all, wherever it stands") {
    const auto first =
        toml_lines("a = 1\nb = 2\n[[m]]\nname = \"x\"\nv = 1\n[[m]]\nname = \"y\"\nv = 2\n", "f");
    const auto second =
        toml_lines("c = 3\nb = 2.5\n[[m]]\nname = \"y\"\nv = 2\n[[m]]\nname = \"x\"\nv = 4\n", "s");
    CHECK(shown(toml_differences(first, first)).empty());
    CHECK(shown(toml_differences(first, second)) ==
          std::vector<std::string>{"c:  -> 3", "b: 2 -> 2.5", "m[x].v: 1 -> 4", "a: 1 -> "});
}

TEST_CASE("What is no TOML is one line with its place") {
    CHECK_THROWS_WITH(toml_lines("a = 1\nb = \n", "station.toml"),
                      Catch::StartsWith("station.toml:2: not TOML"));
}
