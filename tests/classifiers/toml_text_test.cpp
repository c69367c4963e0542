#include "classifiers/toml_text.h"

#include <catch2/catch.hpp>
#include <string>

using quietpass::toml_from;

namespace {

// The first, some of the middle (an Arabic form, an emoji's variation selector) and the last of them.
const char* const kForms[] = {"\xEF\xAB\x89", "\xEF\xAF\x96", "\xEF\xB8\x8F", "\xEF\xB4\xBF", "\xEF\xBB\xBE"};

int line_of_refusal(const std::string& text) {
    try {
        toml_from(text, "a.toml");
    } catch (const toml::parse_error& error) {
        return static_cast<int>(error.source().begin.line);
    }
    return 0;
}

} // namespace

TEST_CASE("Presentation forms are kept in comments and in text of one line", "[toml]") {
    for (const std::string form : kForms) {
        const toml::table table = toml_from("a = \"x" + form + "\" # " + form + "\nb = '" + form + "'\n[" +
                                            "c.\"" + form + "\"]\n");
        CHECK(table["a"].value_or(std::string()) == "x" + form);
        CHECK(table["b"].value_or(std::string()) == form);
        CHECK(table["c"].as_table()->contains(form));
    }
}

TEST_CASE("Presentation forms outside text are refused with their line", "[toml]") {
    for (const std::string form : kForms) {
        CHECK(line_of_refusal("a = 1\n" + form + "b = 2\n") == 2);
        CHECK(line_of_refusal("a = 1\nb = 2 " + form + "\n") == 2);
        CHECK(line_of_refusal("a = 1\n\nb " + form + " = 2\n") == 3);
        CHECK(line_of_refusal("a = [1,\n" + form + "2]\n") == 2);
        CHECK(line_of_refusal("a = 1" + form + "\n") == 1);
        CHECK(line_of_refusal(form) == 1);
        CHECK_THROWS_WITH(toml_from("a = 1\n" + form), Catch::Contains("U+FAC9 to U+FEFE"));
    }
}

TEST_CASE("Text over several lines is refused where presentation forms are in the file", "[toml]") {
    CHECK(line_of_refusal("a = 1\nb = \"\"\"x\\\n  \xEF\xB4\xBF\"\"\"\n") == 2);
    CHECK(line_of_refusal("a = 1\nb = \"\"\"x\\\n  y\"\"\"\n") == 0);
}

TEST_CASE("Characters beside the presentation forms are what they were", "[toml]") {
    // U+FAC8 and U+FEFF: the neighbours; a file may begin with the latter.
    CHECK(toml_from("a = \"\xEF\xAB\x88\"")["a"].value_or(std::string()) == "\xEF\xAB\x88");
    CHECK(toml_from("\xEF\xBB\xBF"
                    "a = 1")["a"]
              .value_or(0) == 1);
    CHECK(line_of_refusal("a = 1\n\xEF\xAB") > 0); // cut off
}

TEST_CASE("What the library says of a word that ends with its line is one line", "[toml]") {
    CHECK_THROWS_WITH(toml_from("a = t\n"), !Catch::Contains("\n"));
    CHECK_THROWS_WITH(toml_from("a = fals\r\n"), !Catch::Contains("\n") && !Catch::Contains("\r"));
    CHECK_THROWS_WITH(toml_from("a = t\n \xEF\xBB\xBE"), !Catch::Contains("\n"));
}
