#include "daemon/tables/table.h"

#include <catch2/catch.hpp>
#include <limits>
#include <nlohmann/json.hpp>
#include <sstream>

using namespace quietpass;

namespace {

Statement sample() {
    Statement statement;
    statement.figures = {{"passages", std::int64_t{3}}, {"share", 1.0 / 3.0}, {"limit", Cell()}};
    Section section;
    section.key = "rows";
    section.heading = "Rows:";
    section.table.columns = {{"name", "name", 0},
                             {"", "shown", 0, ShownTo::kPeople},
                             {"value", "value", 1},
                             {"raw", "", 3, ShownTo::kMachines},
                             {"yes", "yes", 0}};
    section.table.rows = {
        {std::string("Süd, \"1\""), std::string("a"), 12.34, 12.34, true},
        {std::string("b"), std::string("x"), std::numeric_limits<double>::infinity(), Cell(), false}};
    section.lines = {"A line.", "  " + std::string(40, 'w') + " " + std::string(40, 'v')};
    statement.sections.push_back(section);
    return statement;
}

} // namespace

TEST_CASE("People see titles, aligned columns and lines broken at 80 columns") {
    CHECK(written(sample(), Output::kText) ==
          "Rows:\n"
          "name      shown  value  yes\n"
          "Süd, \"1\"  a       12.3  yes\n"
          "b         x        inf  no\n"
          "A line.\n"
          "  " +
              std::string(40, 'w') + "\n  " + std::string(40, 'v') + "\n");
}

TEST_CASE("What somebody entered can't break a line or command the terminal") {
    Statement statement;
    Section section;
    section.heading = "Of \x1b[2J:";
    section.table.columns = {{"lot", "lot", 0}};
    section.table.rows = {{std::string("a\nb")}};
    section.lines = {"By c\rd."};
    statement.sections.push_back(section);
    CHECK(written(statement, Output::kText) == "Of \\u001B[2J:\nlot\na\\nb\nBy c\\rd.\n");
    CHECK(written(statement, Output::kCsv) == "lot\n\"a\nb\"\n"); // machines get it as it was entered
}

TEST_CASE("Machines get every row as CSV, quoted, what is missing or infinite empty") {
    CHECK(written(sample(), Output::kCsv) ==
          "name,value,raw,yes\n"
          "\"Süd, \"\"1\"\"\",12.3,12.340,1\n"
          "b,,,0\n");
}

TEST_CASE("JSON has figures, tables and words, with null for what is missing or infinite") {
    const auto json = nlohmann::json::parse(written(sample(), Output::kJson));
    CHECK(json["passages"] == 3);
    CHECK(json["share"] == 1.0 / 3.0);
    CHECK(json["limit"].is_null());
    CHECK(json["rows"][0]["name"] == "Süd, \"1\"");
    CHECK(json["rows"][0]["yes"] == true);
    CHECK(json["rows"][1]["value"].is_null());
    CHECK_FALSE(json["rows"][0].contains("shown"));
    CHECK(json["words"][0] == "A line.");
}

TEST_CASE("Where 80 columns don't hold a table, what gives way goes on below and no word of it is cut") {
    Statement statement;
    Section section;
    section.table.columns = {{"n", "n", 0},
                             {"heard", "heard", 0, ShownTo::kAll, true},
                             {"odd", "odd", 0, ShownTo::kAll, true},
                             {"last", "last", 0}};
    section.table.rows = {
        {std::int64_t{1}, std::string("VOCAL entry,body_held,held,at_stun"),
         std::string("CALL AFTER STUN;entered_missing;second_stun;held_again"), std::string("kept")},
        {std::int64_t{2}, std::string("silent"), std::string(""), std::string("kept")}};
    statement.sections.push_back(section);
    const std::string text = written(statement, Output::kText);
    INFO(text);
    for (const char* const word : {"VOCAL", "entry,", "body_held,", "held,", "at_stun", "CALL AFTER", "STUN;",
                                   "entered_missing;", "second_stun;", "held_again"})
        CHECK(text.find(word) != std::string::npos);
    CHECK(text.find('~') == std::string::npos);
    std::istringstream lines(text);
    std::size_t count = 0;
    for (std::string line; std::getline(lines, line); ++count) CHECK(line.size() <= 80);
    CHECK(count == 4); // the title, the first row in two lines, the second in one
    CHECK(text.find("2  silent") != std::string::npos);
}

TEST_CASE("A word that is too wide by itself is cut, and the table stays within 80 columns") {
    Statement statement;
    Section section;
    section.table.columns = {{"a", "a", 0, ShownTo::kAll, true}, {"b", "b", 0}, {"n", "n", 0}};
    section.table.rows = {{std::string(70, 'x'), std::string("kept"), std::int64_t{123456789}}};
    statement.sections.push_back(section);
    const std::string text = written(statement, Output::kText);
    CHECK(text.find("x~") != std::string::npos);
    CHECK(text.find("kept") != std::string::npos);
    CHECK(text.find("123456789") != std::string::npos);
    CHECK(text.find('\n', text.find('\n') + 1) - text.find('\n') - 1 == 80);
}
