#include "tests/scenario/scenario_file.h"

#include <catch2/catch.hpp>
#include <filesystem>

#include "daemon/failure.h"
#include "tests/scenario/timeline.h"

namespace quietpass::scenario {

namespace {

std::string complaint_about(const std::string& text) {
    try {
        parse_scenario(text, "s.toml");
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == kExitUsage);
        return failure.what();
    }
    return "nothing";
}

} // namespace

TEST_CASE("a bad scenario is answered with one line that has file, line, key and what was expected") {
    struct Bad {
        const char* text;
        const char* start;
        const char* expected;
    };
    const Bad bad = GENERATE(values<Bad>({
        {"[shift]\npasages = 3\n", "s.toml:2: shift.pasages: ", "unknown key"},
        {"[shift]\n\npassages = \"many\"\n", "s.toml:3: shift.passages: ", "a whole number from 0 to 100000"},
        {"[shift]\nspecies = \"goat\"\n", "s.toml:2: shift.species: ", "one of cattle, pig, sheep"},
        {"[shift]\nroles = [\"entered\", \"stuned\"]\n", "s.toml:2: shift.roles: ", "found 'stuned'"},
        {"[shift]\nroles = [\"cut\", \"stunned\"]\n", "s.toml:2: shift.roles: ", "in place of stunned"},
        {"[calls]\nsnr_db = 900\n", "s.toml:2: calls.snr_db: ", "a number from -30 to 60, found 900"},
        {"[calls]\nsnr_db = nan\n", "s.toml:2: calls.snr_db: ", "a number from -30 to 60"},
        {"[calls.phases]\nheld = 0\n", "s.toml:1: calls.phases: ", "at least one weight"},
        {"[cycle]\nheld_to_stunned_s = { mean = 4, least = 5 }\n",
         "s.toml:2: cycle.held_to_stunned_s: ", "least"},
        {"[recordings]\nfold = { of = 5, use = 5 }\n", "s.toml:2: recordings.fold.use: ", "from 0 to 4"},
        {"[recordings]\nfold = { of = 5 }\n", "s.toml:2: recordings.fold: ", "either use or exclude"},
        {"[[disturbance]]\nmade = \"bang\"\n", "s.toml:1: disturbance.at: ", "either at or per_hour"},
        {"[[disturbance]]\nmade = \"boom\"\nat = \"held\"\n", "s.toml:2: disturbance.made: ", "bang, clang"},
        {"[[passage]]\nnumber = 99\n", "s.toml:2: passage.number: ", "from 1 to 20"},
        {"[[line_stop]]\nafter_passage = 21\n", "s.toml:2: line_stop.after_passage: ", "from 1 to 20"},
        {"[[microphone]]\n[[microphone]]\n", "s.toml:2: microphone.name: ", "stands twice"},
        {"[waiting]\nnearest_m = 5\nfarthest_m = 4\n", "s.toml:3: waiting.farthest_m: ", "no less"},
        {"[waiting]\nnearest_m = 5\n[[microphone]]\n", "s.toml:3: microphone.up_race_m: ", "places"},
        {"[[microphone]]\nup_race_m = 1\ndistance_m = 2\n",
         "s.toml:2: microphone.up_race_m: ", "in place of"},
        {"[shift]\nkind = \"conveyor\"\nsecond_stun_share = 0.1\n",
         "s.toml:3: shift.second_stun_share: ", "conveyor"},
        {"[shift\n", "s.toml:", "not TOML"},
        {"bed = 3\n", "s.toml:1: bed: ", "a table"},
    }));
    CAPTURE(bad.text);
    const std::string line = complaint_about(bad.text);
    CHECK_THAT(line, Catch::StartsWith(bad.start));
    CHECK_THAT(line, Catch::Contains(bad.expected));
    CHECK(line.find('\n') == std::string::npos);
}

TEST_CASE("a scenario file that isn't there is named") {
    CHECK_THROWS_WITH(read_scenario("/nowhere/s.toml"), Catch::StartsWith("/nowhere/s.toml: can't be read"));
}

TEST_CASE("every scenario that is shipped makes a timeline") {
    std::size_t found = 0;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(QUIETPASS_TESTDATA)) {
        const std::string path = entry.path().string();
        const bool is_scenario =
            path.find("/scenarios/") != std::string::npos || entry.path().filename() == "scenario.toml";
        if (!is_scenario || entry.path().extension() != ".toml") continue;
        ++found;
        CAPTURE(path);
        const Scenario scenario = read_scenario(path);
        if (scenario.recordings_folder.empty()) continue; // needs recordings that are not shipped
        RecordingShelf shelf(scenario);
        CHECK(make_timeline(scenario, shelf).passages.size() == static_cast<std::size_t>(scenario.passages));
    }
    CHECK(found >= 16);
}

} // namespace quietpass::scenario
