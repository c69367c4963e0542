#include <catch2/catch.hpp>
#include <optional>

#include "tests/station/box_station.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

// Notes with each notice how much sound had been heard by then.
struct Notices : Recorder {
    void on_after_stun_call(const StationCall& call) override {
        notices.push_back(call);
        heard_s.push_back(now_s);
        notice_text << call.heard.start_s << ' ' << call.heard.end_s << ' ' << *call.passage_id << '\n';
    }
    void on_may_be_after_stun_call(const StationCall& call) override { may_be.push_back(call); }
    void on_second_stun(const SecondStun& stun) override { second_stuns.push_back(stun); }
    void on_phase(const PhaseNow& now) override { phases.push_back(now); }
    double now_s = 0.0;
    std::vector<StationCall> notices;
    std::vector<double> heard_s;
    std::vector<StationCall> may_be;
    std::vector<SecondStun> second_stuns;
    std::vector<PhaseNow> phases;
    std::ostringstream notice_text;
};

// The contacts are known as far as the sound was heard, less late_s.
void play_noting(Station& station, Notices& notices, const std::vector<float>& samples,
                 const std::vector<Edge>& edges, std::size_t block = 160, double late_s = 0.0) {
    auto edge = edges.begin();
    for (std::size_t at = 0; at < samples.size(); at += block) {
        const std::size_t count = std::min(block, samples.size() - at);
        notices.now_s = static_cast<double>(at + count) / kRate_hz;
        station.hear(0, std::span(samples).subspan(at, count));
        for (; edge != edges.end() && edge->time_s < notices.now_s - late_s; ++edge) station.take(*edge);
        station.contacts_known_until(std::max(0.0, notices.now_s - late_s));
    }
    for (; edge != edges.end(); ++edge) station.take(*edge);
    station.finish();
}

// A machine that sets in and stays: as loud as the call, without a pitch.
void add_machine(std::vector<float>& samples, double start_s, double length_s, float gain) {
    std::mt19937 random(9);
    std::normal_distribution<float> sample(0.0F, gain);
    const auto first = static_cast<std::size_t>(start_s * kRate_hz);
    const auto end = std::min(samples.size(), first + static_cast<std::size_t>(length_s * kRate_hz));
    for (std::size_t i = first; i < end; ++i) samples[i] += sample(random);
}

} // namespace

TEST_CASE("A call after the stun is told within a second of its end, and once") {
    std::vector<float> samples = room(60.0);
    add_call(samples, 20.5);
    SECTION("in a quiet hall") {}
    SECTION("with a machine that sets in during the call and stays") {
        add_machine(samples, 21.2, 8.0, 0.03F);
    }
    SECTION("with a machine that was loud from before the call to long after it") {
        add_machine(samples, 20.0, 8.0, 0.02F);
    }
    Notices notices;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, notices);
    play_noting(station, notices, samples, animals({10.0, 35.0}));
    INFO(notices.notice_text.str() << notices.text.str());
    // To the profile of this test the machine itself may be a call, later.
    REQUIRE(std::count_if(notices.notices.begin(), notices.notices.end(),
                          [](const StationCall& call) { return call.heard.start_s < 21.6; }) == 1);
    CHECK(notices.notices[0].phase == Phase::kAfterStun);
    CHECK(notices.notices[0].passage_id == 1);
    UNSCOPED_INFO("told " << notices.heard_s[0] - 21.5 << " s after the call's end");
    CHECK(notices.heard_s[0] <= 21.5 + 1.0);
    CHECK(notices.passages.at(0).calls_after_stun >= 1);
}

TEST_CASE("A call that began before the stun is never told as one after it, however long it lasts") {
    std::vector<float> samples = room(60.0);
    add_call(samples, 17.0, 3.5); // the stun is at 18
    Notices notices;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, notices);
    play_noting(station, notices, samples, animals({10.0}));
    CHECK(notices.notices.empty());
    REQUIRE_FALSE(notices.calls.empty());
    CHECK(notices.calls[0].phase == Phase::kHeld);
    CHECK(notices.calls[0].counted);
}

TEST_CASE("Calls before the stun, between animals and of a station with `cut` are not told as after a stun") {
    std::vector<float> samples = room(60.0);
    for (const double start_s : {6.0, 12.0, 16.0, 28.0}) add_call(samples, start_s, 0.8);
    StationSettings settings = box_station();
    SECTION("with a stun") {}
    SECTION("with a cut") {
        settings.contacts[2].role = Role::kCut;
        add_call(samples, 21.0, 0.8);
    }
    Notices notices;
    const Profile profile = every_sound_is_a_moo();
    Station station(settings, &profile, kRates, notices);
    auto edges = animals({10.0, 35.0});
    if (settings.has(Role::kCut)) {
        for (Edge& edge : edges) edge.role = edge.role == Role::kStunned ? Role::kCut : edge.role;
    }
    play_noting(station, notices, samples, edges);
    CHECK(notices.calls.size() >= 4);
    CHECK(notices.notices.empty());
}

TEST_CASE("What is told of calls after the stun doesn't depend on blocks or on how late contacts are known") {
    std::vector<float> samples = room(80.0);
    for (const double start_s : {20.5, 22.5, 46.0, 47.5}) add_call(samples, start_s, 0.8);
    add_machine(samples, 45.5, 6.0, 0.03F);
    const Profile profile = every_sound_is_a_moo();
    const auto edges = animals({10.0, 35.0});
    Notices reference;
    {
        Station station(box_station(), &profile, kRates, reference);
        play_noting(station, reference, samples, edges);
    }
    REQUIRE(reference.notices.size() >= 3);
    for (const std::size_t block : {333U, 16000U, 400000U}) {
        for (const double late_s : {0.0, 3.0}) {
            Notices notices;
            Station station(box_station(), &profile, kRates, notices);
            play_noting(station, notices, samples, edges, block, late_s);
            CHECK(notices.notice_text.str() == reference.notice_text.str());
        }
    }
}

TEST_CASE(
    "On a conveyor a call while one is stunned and one waits counts for that one, and is told as may be") {
    StationSettings settings = box_station();
    settings.restraint.kind = RestraintKind::kConveyor;
    // The first is stunned at 15 and released at 30; the second entered at 12 and is stunned at 27.
    const std::vector<Edge> edges = {{10.0, Role::kEntered, true},  {12.0, Role::kEntered, true},
                                     {15.0, Role::kStunned, true},  {27.0, Role::kStunned, true},
                                     {30.0, Role::kReleased, true}, {42.0, Role::kReleased, true}};
    std::vector<float> samples = room(60.0);
    const Profile profile = every_sound_is_a_moo();
    SECTION("once, when the stunned one is in the line") {
        add_call(samples, 20.0);
        Notices notices;
        Station station(settings, &profile, kRates, notices);
        play_noting(station, notices, samples, edges);
        INFO(notices.text.str());
        REQUIRE(notices.may_be.size() == 1);
        CHECK(notices.may_be[0].passage_id == 1);
        CHECK(notices.may_be[0].passage_entered_s == 10.0);
        CHECK(notices.notices.empty());
        REQUIRE(notices.calls.size() == 1);
        CHECK(notices.calls[0].passage_id == 2);
        CHECK(notices.calls[0].counted);
        CHECK(notices.calls[0].reason.find("passage 1 was stunned") != std::string::npos);
        REQUIRE(notices.passages.size() == 2);
        CHECK(notices.passages[0].calls + notices.passages[0].calls_after_stun == 0);
        CHECK(notices.passages[1].calls == 1);
    }
    SECTION("not before the stun, nor when it goes on from before it") {
        add_call(samples, 14.0, 4.0);
        Notices notices;
        Station station(settings, &profile, kRates, notices);
        play_noting(station, notices, samples, edges);
        CHECK(notices.may_be.empty());
    }
    SECTION("surely after the stun where nobody waits any more") {
        add_call(samples, 33.0);
        Notices notices;
        Station station(settings, &profile, kRates, notices);
        play_noting(station, notices, samples, edges);
        CHECK(notices.may_be.empty());
        CHECK(notices.notices.size() == 1);
    }
    SECTION("never by a microphone that speaks for those that enter") {
        settings.microphones[0].zone = MicrophoneZone::kEntry;
        add_call(samples, 20.0);
        Notices notices;
        Station station(settings, &profile, kRates, notices);
        play_noting(station, notices, samples, edges);
        CHECK(notices.may_be.empty());
    }
}

TEST_CASE("A second stun is told at its edge, with its passage") {
    Notices notices;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, notices);
    for (const double time_s : {10.0, 15.0, 17.0, 30.0}) {
        const Role role = time_s == 10.0 ? Role::kEntered : time_s == 30.0 ? Role::kReleased : Role::kStunned;
        station.take({time_s, role, true});
        CHECK(notices.second_stuns.size() == (time_s >= 17.0 ? 1 : 0));
    }
    CHECK(notices.second_stuns[0].passage_id == 1);
    CHECK(notices.second_stuns[0].first_s == 15.0);
    CHECK(notices.second_stuns[0].again_s == 17.0);
}

TEST_CASE("The phase is told at the edge that changed it") {
    Notices notices;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, notices);
    for (const Edge& edge : animal(10.0)) station.take(edge);
    std::vector<std::pair<double, std::optional<Phase>>> told;
    for (const PhaseNow& now : notices.phases) told.emplace_back(now.time_s, now.phase);
    CHECK(told == std::vector<std::pair<double, std::optional<Phase>>>{{10.0, Phase::kEntry},
                                                                       {15.0, Phase::kHeld},
                                                                       {18.0, Phase::kAtStun},
                                                                       {19.0, Phase::kAfterStun},
                                                                       {25.0, std::nullopt}});
}
