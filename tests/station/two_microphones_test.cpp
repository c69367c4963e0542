#include <algorithm>
#include <catch2/catch.hpp>

#include "tests/station/box_station.h"

using namespace quietpass;
using namespace quietpass::testing;

TEST_CASE("A call that two microphones hear is one call, named after the louder") {
    std::vector<float> near = room(40.0);
    std::vector<float> far = near;
    add_call(near, 12.0, 1.0, 0.1F);
    add_call(far, 12.02, 1.0, 0.03F);
    StationSettings settings = box_station();
    settings.microphones.front().name = "race";
    settings.microphones.emplace_back().name = "head";
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    const double rates[] = {kRate_hz, kRate_hz};
    Station station(settings, &profile, rates, recorder);
    for (const Edge& edge : animals({10.0})) station.take(edge);
    station.contacts_known_until(40.0);
    station.hear(0, far);
    station.hear(1, near);
    station.finish();
    REQUIRE(recorder.calls.size() == 1);
    CHECK(recorder.calls[0].microphone == "head");
    REQUIRE(recorder.passages.size() == 1);
    CHECK(recorder.passages[0].calls == 1);
}

namespace {

// A head microphone, and one seven metres up the race on the same device.
StationSettings two_microphones() {
    StationSettings settings = box_station();
    settings.microphones[0].up_race_m = 0.0;
    settings.microphones.emplace_back().name = "race";
    settings.microphones[1].up_race_m = 7.0;
    return settings;
}

// The race's room is another room's noise.
struct TwoChannels {
    explicit TwoChannels(double seconds) : head(room(seconds + 1.0)), race(room(seconds)) {
        head.erase(head.begin(), head.begin() + static_cast<long>(kRate_hz));
    }
    void restrained(double start_s) {
        add_call(head, start_s, 1.0, 0.1F);
        add_call(race, start_s + 0.0165, 1.0, 0.02F);
    }
    void waiting(double start_s) {
        add_call(race, start_s, 1.0, 0.1F);
        add_call(head, start_s + 0.0195, 1.0, 0.04F);
    }
    std::vector<float> head;
    std::vector<float> race;
};

void play(Station& station, const TwoChannels& channels, const std::vector<Edge>& edges, std::size_t block,
          std::size_t race_behind = 0) {
    const std::span<const float> head(channels.head);
    const std::span<const float> race(channels.race);
    for (const Edge& edge : edges) station.take(edge);
    station.contacts_known_until(static_cast<double>(head.size()) / kRate_hz);
    std::size_t raced = 0;
    for (std::size_t at = 0; at < head.size(); at += block) {
        const std::size_t until = std::min(at + block, head.size());
        station.hear(0, head.subspan(at, until - at));
        if (until <= race_behind) continue;
        station.hear(1, race.subspan(raced, until - race_behind - raced));
        raced = until - race_behind;
    }
    station.hear(1, race.subspan(raced));
    station.finish();
}

const double kTwoRates[] = {kRate_hz, kRate_hz};

} // namespace

TEST_CASE("A waiting animal's call never counts where a microphone up the race hears it louder and earlier") {
    TwoChannels channels(60.0);
    channels.waiting(12.0);
    channels.restrained(16.0);
    channels.waiting(37.0);
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(two_microphones(), &profile, kTwoRates, recorder);
    play(station, channels, animals({10.0, 35.0}), 480);

    REQUIRE(recorder.calls.size() == 3);
    CHECK_FALSE(recorder.calls[0].counted);
    CHECK(recorder.calls[0].waiting());
    CHECK(recorder.calls[0].microphone == "race");
    CHECK_FALSE(recorder.calls[0].passage_id);
    INFO(recorder.calls[0].reason);
    CHECK(recorder.calls[0].reason.find("dB louder and 19.") != std::string::npos);
    CHECK(recorder.calls[0].reason.find(" ms earlier at race than at head") != std::string::npos);
    CHECK(recorder.calls[1].counted);
    CHECK(recorder.calls[1].microphone == "head");
    CHECK(recorder.calls[1].reason.find("earlier at head than at race") != std::string::npos);
    CHECK(recorder.calls[2].waiting());
    REQUIRE(recorder.passages.size() == 2);
    CHECK(recorder.passages[0].calls == 1);
    CHECK_FALSE(recorder.passages[1].vocal);
    CHECK(recorder.passages[1].covered);
}

TEST_CASE("With one microphone a waiting animal's call counts: nothing is left out by guess") {
    TwoChannels channels(40.0);
    channels.waiting(12.0);
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, recorder);
    play(station, channels.head, animals({10.0}), 480);
    REQUIRE(recorder.calls.size() == 1);
    CHECK(recorder.calls[0].counted);
}

TEST_CASE("A waiting animal that calls after the stun raises no passage's count of calls after the stun") {
    TwoChannels channels(40.0);
    channels.waiting(20.5);
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(two_microphones(), &profile, kTwoRates, recorder);
    play(station, channels, animals({10.0}), 480);
    REQUIRE(recorder.passages.size() == 1);
    CHECK(recorder.passages[0].calls_after_stun == 0);
}

TEST_CASE("A loss on the far microphone leaves the call counted, for whose it is can't be told") {
    TwoChannels channels(40.0);
    channels.waiting(12.0);
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(two_microphones(), &profile, kTwoRates, recorder);
    for (const Edge& edge : animals({10.0})) station.take(edge);
    station.contacts_known_until(40.0);
    const auto at = [](double seconds) { return static_cast<std::size_t>(seconds * kRate_hz); };
    station.hear(0, channels.head);
    station.hear(1, std::span<const float>(channels.race).first(at(11.9)));
    station.lose(1, static_cast<std::int64_t>(at(2.0)), GapCause::kOverrun);
    station.hear(1, std::span<const float>(channels.race).subspan(at(13.9)));
    station.finish();
    REQUIRE(recorder.calls.size() == 1);
    CHECK(recorder.calls[0].counted);
    REQUIRE(recorder.passages.size() == 1);
    CHECK(recorder.passages[0].excluded == "overrun");
}

TEST_CASE("Two microphones give the same for any block size and however far one lags behind") {
    TwoChannels channels(100.0);
    for (const double start_s : {12.0, 45.0, 77.0}) channels.restrained(start_s);
    for (const double start_s : {6.0, 14.0, 43.0, 80.0}) channels.waiting(start_s);
    channels.waiting(47.0);
    channels.restrained(47.3); // both at once
    const auto edges = animals({10.0, 40.0, 75.0});
    const Profile profile = every_sound_is_a_moo();
    Recorder reference;
    {
        Station station(two_microphones(), &profile, kTwoRates, reference);
        play(station, channels, edges, 480);
    }
    REQUIRE(reference.calls.size() >= 8);
    CHECK(std::count_if(reference.calls.begin(), reference.calls.end(),
                        [](const StationCall& call) { return call.waiting(); }) >= 4);
    for (const std::size_t block : {160U, 333U, 16000U}) {
        for (const std::size_t behind : {0U, 5000U, 320000U}) {
            Recorder recorder;
            Station station(two_microphones(), &profile, kTwoRates, recorder);
            play(station, channels, edges, block, behind);
            CHECK(recorder.text.str() == reference.text.str());
            CHECK(recorder.passage_text.str() == reference.passage_text.str());
        }
    }
}

TEST_CASE("A call that only the microphone up the race hears doesn't count where whose it is can't be told") {
    TwoChannels channels(40.0);
    add_call(channels.race, 12.0, 1.0, 0.05F);
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(two_microphones(), &profile, kTwoRates, recorder);
    for (const Edge& edge : animals({10.0})) station.take(edge);
    station.contacts_known_until(40.0);
    const auto at = [](double seconds) { return static_cast<std::size_t>(seconds * kRate_hz); };
    // The head microphone was lost until just before the call: no background to tell by.
    station.lose(0, static_cast<std::int64_t>(at(11.8)), GapCause::kOverrun);
    station.hear(0, std::span<const float>(channels.head).subspan(at(11.8)));
    station.hear(1, channels.race);
    station.finish();
    REQUIRE(recorder.calls.size() == 1);
    CHECK(recorder.calls[0].microphone == "race");
    CHECK_FALSE(recorder.calls[0].counted);
    CHECK_FALSE(recorder.calls[0].waiting());
    CHECK(recorder.calls[0].reason == "heard up the race only, and whose it is can't be told");
}

TEST_CASE("On two devices only a much louder call up the race is a waiting animal's") {
    TwoChannels channels(60.0);
    channels.waiting(12.0);
    channels.restrained(16.0);
    StationSettings settings = two_microphones();
    settings.microphones[1].clock = 1;
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(settings, &profile, kTwoRates, recorder);
    play(station, channels, animals({10.0}), 480);
    REQUIRE(recorder.calls.size() == 2);
    CHECK(recorder.calls[0].waiting());
    CHECK(recorder.calls[0].reason.find(" ms ") == std::string::npos);
    CHECK(recorder.calls[1].counted);
}
