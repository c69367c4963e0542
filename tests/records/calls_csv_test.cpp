#include "daemon/records/calls_csv.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

const std::string kCallsHeader =
    "call_id,microphone,start_s,end_s,species,kind,score,level_db,f0_hz,passage_id,phase,counted,reasons,"
    "bang_before_db,hiss_before_db\n";

} // namespace

TEST_CASE("A file without calls is its header") {
    CHECK(calls_csv(Species::kCattle, {}) == kCallsHeader);
}

TEST_CASE("Each call is a line with the contract's columns, in the order given") {
    std::vector<StationCall> calls(2);
    calls[0].id = 1;
    calls[0].microphone = "head";
    calls[0].heard = {12.3456, 13.5, CallKind::kMoo, 3.25, -31.26, 153.04, "voice_s>0.4 +1.2"};
    calls[0].passage_id = 7;
    calls[0].phase = Phase::kHeld;
    calls[0].counted = true;
    calls[0].reason = "while held";
    calls[0].bang_before_db = -20.04;
    calls[1].id = 2;
    calls[1].microphone = "entry, left";
    calls[1].heard = {20.0, 20.4, CallKind::kBellow, 1.0, -40.0, 0.0, ""};
    calls[1].reason = "no animal in the restrainer";
    CHECK(
        calls_csv(Species::kCattle, calls) ==
        kCallsHeader +
            "1,head,12.346,13.500,cattle,moo,3.250,-31.3,153.0,7,held,1,while held; voice_s>0.4 +1.2,"
            "-20.0,\n"
            "2,\"entry, left\",20.000,20.400,cattle,bellow,1.000,-40.0,,,,0,no animal in the restrainer,,\n");
}

TEST_CASE("A pig's grunt is recorded and not counted") {
    std::vector<StationCall> calls(1);
    calls[0].heard.kind = CallKind::kGrunt;
    CHECK(calls_csv(Species::kPig, calls).find(",pig,grunt,") != std::string::npos);
}
