#include "daemon/records/passages_csv.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

const std::string kPassagesHeader =
    "passage_id,entered_s,body_held_s,held_s,stunned_s,released_s,calls,vocal,covered,held_for_s,stuns,prods,"
    "flags,body_held_for_s,to_stun_s,restrained_for_s,bangs\n";

} // namespace

TEST_CASE("A file without passages is its header") {
    CHECK(passages_csv({}) == kPassagesHeader);
}

TEST_CASE("Each passage is a line with the contract's columns, times that were never seen empty") {
    std::vector<Passage> passages(2);
    passages[0].id = 1;
    passages[0].entered_s = 10.0;
    passages[0].body_held_s = 12.0;
    passages[0].held_s = 13.0004;
    passages[0].stunned_s = 17.5;
    passages[0].released_s = 30.0;
    passages[0].calls = 2;
    passages[0].vocal = true;
    passages[0].stuns = 2;
    passages[0].prods = 3;
    passages[0].bangs = 5;
    passages[0].flags = {"second_stun", "too_long"};
    passages[1].id = 2;
    passages[1].entered_s = 40.25;
    passages[1].covered = false;
    passages[1].excluded = "silent";
    passages[1].flags = {"no_stun"};
    CHECK(
        passages_csv(passages) ==
        kPassagesHeader +
            "1,10.000,12.000,13.000,17.500,30.000,2,1,1,4.500,2,3,second_stun;too_long,5.500,7.500,20.000,5\n"
            "2,40.250,,,,,0,0,0,,0,0,excluded=silent;no_stun,,,,\n");
}
