#include "daemon/contacts/line/line_message.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>

using namespace quietpass;

TEST_CASE("an input's line is read with its state and stamp", "[contacts]") {
    const auto plain = line_message_from("in gate 1");
    REQUIRE(plain);
    CHECK(plain->input == "gate");
    CHECK(plain->closed == true);
    CHECK_FALSE(plain->stamp_ms);
    const auto stamped = line_message_from("in stun.2 0 4294967295");
    REQUIRE(stamped);
    CHECK(stamped->closed == false);
    CHECK(stamped->stamp_ms == 4294967295U);
    const auto unknown = line_message_from("in gate ?");
    REQUIRE(unknown);
    CHECK_FALSE(unknown->closed);
}

TEST_CASE("a heartbeat is a line without an input", "[contacts]") {
    REQUIRE(line_message_from("alive"));
    CHECK(line_message_from("alive")->input.empty());
    CHECK(line_message_from("alive 17")->stamp_ms == 17U);
}

TEST_CASE("a line with a checksum is read only when it fits", "[contacts]") {
    // 0x69 ^ 0x6E ^ 0x20 ^ 0x61 ^ 0x20 ^ 0x31, by hand.
    CHECK(line_checksum("in a 1") == "57");
    CHECK(line_message_from("in a 1 *57"));
    CHECK_FALSE(line_message_from("in a 0 *57"));
    CHECK_FALSE(line_message_from("in a 1 *5"));
    CHECK(line_message_from("alive 5 *" + line_checksum("alive 5")));
}

TEST_CASE("the lines that the documentation shows are good ones", "[contacts]") {
    for (const char* line : {"in gate 1 81234567 *09", "in stun 0 81234567 *03", "alive 81234660 *5B",
                             "in stun 1 81234702 *03", "alive 81234760 *5A"}) {
        INFO(line);
        CHECK(line_message_from(line));
    }
}

TEST_CASE("a damaged line is none", "[contacts]") {
    for (const char* line : {"",
                             " ",
                             "in",
                             "in gate",
                             "in gate 2",
                             "in gate  1",
                             "in  gate 1",
                             "in ga/te 1",
                             "gate 1",
                             "IN gate 1",
                             "in gate 1 x",
                             "in gate 1 -1",
                             "in gate 1 4294967296",
                             "in gate 1 5 6",
                             "alive x",
                             "alive 1 2",
                             "aliv",
                             "n gate 1",
                             "in gate 1 ",
                             "in gate 1 5 *",
                             "in gate 1\r"}) {
        INFO(line);
        CHECK_FALSE(line_message_from(line));
    }
    CHECK_FALSE(line_message_from("in gate 1 " + std::string(120, '0')));
}

TEST_CASE("no single wrong byte of a line with a checksum passes as another message", "[contacts]") {
    rc::prop("damage is seen", [] {
        const std::string body = *rc::gen::element<std::string>("in gate 1 1234", "in stun 0", "alive 99");
        std::string line = body + " *" + line_checksum(body);
        // Not the two bytes that mark the checksum: without them a line has none.
        auto place = *rc::gen::inRange<std::size_t>(0, line.size() - 2);
        if (place >= body.size()) place += 2;
        const char other = *rc::gen::arbitrary<char>();
        RC_PRE(other != line[place]);
        line[place] = other;
        RC_ASSERT(!line_message_from(line));
    });
}
