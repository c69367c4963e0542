#include <catch2/catch.hpp>
#include <string>

#include "classifiers/one_line.h"

using quietpass::in_one_line;

TEST_CASE("Words of any origin become one line that a terminal only shows", "[one_line]") {
    CHECK(in_one_line("").empty());
    CHECK(in_one_line("a\nb\r\nc\td") == "a\\nb\\r\\nc\\td");
    CHECK(in_one_line("\x1b[2Jgone\x07") == "\\u001B[2Jgone\\u0007");
    CHECK(in_one_line(std::string("a\0b", 3)) == "a\\u0000b");
    CHECK(in_one_line("a\x7F") == "a\\u007F");
    // U+009B begins a terminal's commands as Escape and [ do; U+0085, U+2028 and U+2029 end lines.
    CHECK(in_one_line("\xC2\x9B"
                      "2J") == "\\u009B2J");
    CHECK(in_one_line("a\xC2\x85"
                      "b\xE2\x80\xA8"
                      "c\xE2\x80\xA9") == "a\\u0085b\\u2028c\\u2029");
}

TEST_CASE("Words without control characters stay as they are, and so does a line made once", "[one_line]") {
    for (const char* words : {"Süd \"1\", 5 °C – «ça» 屠場", "C:\\new\\table", "\xC2",
                              "\xC2"
                              "a",
                              "\xE2\x80", "\xFF"})
        CHECK(in_one_line(words) == words);
    CHECK(in_one_line("\xC2\xA0") == "\xC2\xA0");
    const std::string once = in_one_line("a\nb\x1b");
    CHECK(in_one_line(once) == once);
}
