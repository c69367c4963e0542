#include "daemon/evaluation/shift_truth.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>

#include "daemon/failure.h"
#include "tests/test_folder.h"

using namespace quietpass;
using evaluation::JudgedPassage;
using evaluation::Standing;

namespace {

constexpr const char* kRecord =
    "passage_id,entered_s,body_held_s,held_s,stunned_s,released_s,calls,vocal,covered,held_for_s,stuns,prods,"
    "flags\n";

void write(const std::filesystem::path& file, const std::string& text) {
    std::filesystem::create_directories(file.parent_path());
    std::ofstream(file) << text;
}

// Four passages: called, quiet, not covered, called.
void write_record(const std::filesystem::path& folder) {
    write(folder / "passages.csv", std::string(kRecord) +
                                       "1,8.000,9,10,12,14,1,1,1,2.000,1,0,\n"
                                       "2,30.000,31,32,34,36,0,0,1,2.000,1,0,\n"
                                       "3,60.000,61,62,64,66,0,0,0,2.000,1,0,excluded=silent\n"
                                       "4,90.000,91,92,94,96,1,1,1,2.000,1,0,no_stun\n");
}

const JudgedPassage& at(const ShiftTruth& shift, std::int64_t number) {
    return *std::find_if(shift.passages.begin(), shift.passages.end(),
                         [&](const JudgedPassage& passage) { return passage.number == number; });
}

} // namespace

TEST_CASE("Truth and record meet by time of entry, in whatever order the rows stand") {
    const TestFolder folder;
    write_record(folder.path() / "scored");
    write(folder.path() / "truth.csv", "entered_s,vocal\n90.2,0\n7.9,1\n30.0,0\n60.1,1\n");
    const ShiftTruth shift = read_shift_truth(folder.path(), {}, 0.5);
    REQUIRE(shift.passages.size() == 4);
    CHECK(at(shift, 1).vocal);
    CHECK(at(shift, 1).called);
    CHECK_FALSE(at(shift, 4).vocal);
    CHECK(at(shift, 4).called);
    CHECK(at(shift, 3).standing == Standing::kNotCovered);
    CHECK(at(shift, 2).standing == Standing::kJudged);
    CHECK_FALSE(shift.events);
}

TEST_CASE("A truth by hand goes by passage number, and passages it lacks or adds are set apart") {
    const TestFolder folder;
    write_record(folder.path());
    write(folder.path() / "by_hand.csv", "passage,vocal,who\n1,1,a\n2,,b\n4,1,a\n9,1,a\n");
    const ShiftTruth shift = read_shift_truth(folder.path(), folder.path() / "by_hand.csv", 0.5);
    CHECK(at(shift, 1).standing == Standing::kJudged);
    CHECK(at(shift, 2).standing == Standing::kNoTruth);
    CHECK(at(shift, 3).standing == Standing::kNoTruth);
    CHECK(at(shift, 4).standing == Standing::kJudged);
    CHECK(at(shift, 9).standing == Standing::kNotInRecord);
}

TEST_CASE("The truth of another shift stops with one line that names both files") {
    const TestFolder folder;
    write_record(folder.path());
    write(folder.path() / "truth.csv", "entered_s,vocal\n1008.0,1\n1030.0,0\n1060.0,1\n");
    try {
        read_shift_truth(folder.path(), {}, 0.5);
        FAIL("was matched");
    } catch (const Failure& failure) {
        const std::string line = failure.what();
        CHECK(failure.exit_code() == kExitFailure);
        CHECK(line.find("only 0 of its 3 passages") != std::string::npos);
        CHECK(line.find("passages.csv") != std::string::npos);
        CHECK(line.find('\n') == std::string::npos);
    }
}

TEST_CASE("Calls one by one: heard, missed, false, and what the false ones lay on") {
    const TestFolder folder;
    write_record(folder.path() / "scored");
    write(folder.path() / "truth.csv", "passage,entered_s,vocal\n1,8.0,1\n2,30.0,1\n3,60.0,0\n4,90.0,0\n");
    write(folder.path() / "truth_calls.csv",
          "start_s,end_s,class,recording,passage,phase,counted,snr_db\n"
          "9.0,10.0,pig_squeal,one,1,held,1,3.00\n"
          "10.5,11.0,pig_squeal,two,1,held,1,6.00\n"
          "31.0,32.0,pig_squeal,one,2,held,1,6.00\n"
          "62.0,63.0,pig_squeal,one,3,held,1,6.00\n"
          "91.0,92.0,pig_grunt,one,4,held,0,9.00\n");
    write(folder.path() / "truth_sounds.csv",
          "start_s,end_s,class,recording,passage,level_db\n93.0,94.0,horn,,4,5.0\n");
    write(folder.path() / "scored" / "calls.csv",
          "call_id,microphone,start_s,end_s,species,kind,score,level_db,f0_hz,passage_id,phase,counted,"
          "reasons\n"
          "1,head,9.1,9.9,pig,squeal,2,-20,900,1,held,1,\"counted; a, b\"\n"
          "2,head,91.2,91.8,pig,squeal,2,-20,900,4,held,1,counted\n"
          "3,head,93.2,93.8,pig,grunt,2,-20,100,4,held,0,a grunt\n"
          "4,head,110.0,111.0,pig,squeal,2,-20,900,,,0,nobody\n");
    const ShiftTruth shift = read_shift_truth(folder.path(), {}, 0.5);
    CHECK(shift.species == "pig");
    CHECK(at(shift, 1).snr_db == 6.0);
    CHECK(at(shift, 1).recording == "two");
    CHECK_FALSE(at(shift, 4).snr_db);
    REQUIRE(shift.events);
    REQUIRE(shift.events->calls.size() == 3); // that of the passage that wasn't covered is left out
    CHECK(shift.events->calls[0].heard);
    CHECK_FALSE(shift.events->calls[1].heard);
    REQUIRE(shift.events->found.size() == 3); // without the grunt
    CHECK(shift.events->found[0].is_call);
    CHECK(shift.events->found[1].behind == "pig_grunt");
    CHECK(shift.events->found[1].quiet_passage == "4");
    CHECK(shift.events->found[0].quiet_passage.empty());
    CHECK_FALSE(shift.events->found[2].is_call);
    CHECK(shift.events->found[2].behind.empty());
}

TEST_CASE("What is wrong in a truth is told with file and line") {
    const TestFolder folder;
    write_record(folder.path());
    const auto line_for = [&](const std::string& text) -> std::string {
        write(folder.path() / "truth.csv", text);
        try {
            read_shift_truth(folder.path(), {}, 0.5);
        } catch (const Failure& failure) {
            return failure.what();
        }
        return "";
    };
    CHECK(line_for("vocal\n1\n").find("truth.csv:1: expected the columns") != std::string::npos);
    CHECK(line_for("entered_s,vocal\n8.0,yes\n").find("truth.csv:2: vocal: expected 1 (yes) or 0 (no)") !=
          std::string::npos);
    CHECK(line_for("entered_s,vocal\nsoon,1\n").find("truth.csv:2: entered_s: expected a number") !=
          std::string::npos);
    CHECK(line_for("entered_s,vocal\n").find("no passage") != std::string::npos);
}
