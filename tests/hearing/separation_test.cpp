#include "daemon/hearing/separation.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

StationSettings station_of(std::initializer_list<std::optional<double>> places_m) {
    StationSettings settings;
    for (const auto& up_race_m : places_m) {
        MicrophoneSettings& microphone = settings.microphones.emplace_back();
        microphone.name = "m" + std::to_string(settings.microphones.size());
        microphone.up_race_m = up_race_m;
    }
    return settings;
}

} // namespace

TEST_CASE("one microphone tells nothing, and the station says so") {
    const StationSettings settings = station_of({0.0});
    CHECK(separating_pairs(settings).empty());
    const Separation separation = separation_of(settings);
    CHECK(separation.by == SeparatedBy::kNothing);
    CHECK(separation.note.find("there is one microphone") != std::string::npos);
}

TEST_CASE("a microphone at the restraint and one beyond the entrance tell by level and delay") {
    const StationSettings settings = station_of({7.0, 0.5});
    const auto pairs = separating_pairs(settings);
    REQUIRE(pairs.size() == 1);
    CHECK(pairs[0].near == 1);
    CHECK(pairs[0].far == 0);
    CHECK(pairs[0].near_m == 0.5);
    CHECK(pairs[0].far_m == 7.0);
    CHECK(pairs[0].one_clock);
    CHECK(separation_of(settings).by == SeparatedBy::kLevelAndDelay);
}

TEST_CASE("on two devices level alone tells, and the note says why") {
    StationSettings settings = station_of({0.0, 7.0});
    settings.microphones[1].clock = 1;
    CHECK(separation_of(settings).by == SeparatedBy::kLevel);
    CHECK(separation_of(settings).note.find("two devices") != std::string::npos);
}

TEST_CASE("microphones without a place, both at the restraint, or both up the race tell nothing") {
    CHECK(separation_of(station_of({std::nullopt, 7.0})).by == SeparatedBy::kNothing);
    CHECK(separation_of(station_of({0.0, std::nullopt})).by == SeparatedBy::kNothing);
    CHECK(separation_of(station_of({0.0, 3.5})).by == SeparatedBy::kNothing);
    CHECK(separation_of(station_of({5.0, 9.0})).by == SeparatedBy::kNothing);
    const std::string note = separation_of(station_of({0.0, 3.5})).note;
    CHECK(note.find("4 m or more up the race") != std::string::npos);
}

TEST_CASE("each microphone up the race makes a pair with the one at the restraint") {
    const auto pairs = separating_pairs(station_of({0.0, 1.0, 6.0, 12.0}));
    REQUIRE(pairs.size() == 2);
    CHECK(pairs[0].near == 0);
    CHECK(pairs[0].far == 2);
    CHECK(pairs[1].near == 0);
    CHECK(pairs[1].far == 3);
}

TEST_CASE(
    "how far the far microphone must hang is a setting of the station, and its limits go with the pair") {
    StationSettings settings = station_of({0.0, 3.5});
    settings.whose_call.beyond_entrance_m = 0.5;
    settings.whose_call.louder_alone_db = 7.5;
    REQUIRE(separating_pairs(settings).size() == 1);
    CHECK(separating_pairs(settings)[0].limits.louder_alone_db == 7.5);
    settings.whose_call.apart_m = 4.0;
    CHECK(separating_pairs(settings).empty());
    settings.whose_call.beyond_entrance_m = 2.0;
    CHECK(separation_of(settings).note.find("5 m or more up the race") != std::string::npos);
}
