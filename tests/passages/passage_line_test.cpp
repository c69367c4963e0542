#include "daemon/commands/passage_line.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <sstream>

namespace quietpass {
namespace {

std::size_t widest_of(const std::string& lines) {
    std::istringstream in(lines);
    std::size_t widest = 0;
    for (std::string line; std::getline(in, line);) widest = std::max(widest, line.size());
    return widest;
}

Passage passage_of(double entered_s) {
    Passage passage;
    passage.id = 12;
    passage.entered_s = entered_s;
    passage.held_s = entered_s + 10;
    passage.stunned_s = entered_s + 15.5;
    passage.stuns = 1;
    return passage;
}

TEST_CASE("A passage is a line under its header") {
    CHECK(passage_line_header(false) ==
          "passage entered s to stun held s stuns  heard            what was odd\n");
    Passage passage = passage_of(61.0);
    CHECK(passage_line_of(passage, false) == "     12      61.0    15.5    5.5     1  silent\n");
    passage.vocal = true;
    passage.calls = 2;
    passage.flags = {"held_again"};
    CHECK(passage_line_of(passage, false) ==
          "     12      61.0    15.5    5.5     1  VOCAL, 2 calls   held_again\n");
}

TEST_CASE("Where animals are cut without a stun, a call after the cut is told and no one is sent") {
    CHECK(passage_line_header(true).size() == passage_line_header(false).size());
    CHECK(passage_line_header(true) ==
          "passage entered s  to cut held s  cuts  heard            what was odd\n");
    Passage passage = passage_of(61.0);
    passage.calls_after_stun = 2;
    CHECK(passage_line_of(passage, true) ==
          "     12      61.0    15.5    5.5     1  silent           call after the cut\n");
}

TEST_CASE("However much was odd, a passage takes up 80 columns, and the rest goes on below") {
    Passage passage = passage_of(1234567.8);
    passage.id = 9999999;
    passage.calls_after_stun = 1;
    passage.excluded = "entry_not_seen";
    passage.flags = {"entered_missing", "second_stun", "after_stun_not_heard", "never_released",
                     "line_stopped"};
    const std::string lines = passage_line_of(passage, false);
    CHECK(widest_of(lines) <= 80);
    CHECK(lines.find("CALL AFTER STUN:\n") != std::string::npos);
    CHECK(lines.find("\n" + std::string(57, ' ') + "check the animal\n") != std::string::npos);
    for (const std::string& flag : passage.flags) CHECK(lines.find(flag) != std::string::npos);
}

} // namespace
} // namespace quietpass
