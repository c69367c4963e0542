#include <algorithm>
#include <catch2/catch.hpp>

#include "tests/station/box_station.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

// Two animals in a quiet room, of whom `first` is what tells first, at 0 and at 50 s.
void play_two(Recorder& recorder, Role first) {
    std::vector<Edge> edges;
    for (const double first_s : {0.0, 50.0}) {
        edges.push_back({first_s, first, true});
        edges.push_back({first_s + 6.0, Role::kStunned, true});
        edges.push_back({first_s + 10.0, Role::kReleased, true});
    }
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, recorder);
    play(station, room(80.0), edges, 480);
}

} // namespace

TEST_CASE("A call is placed in the passage and phase it began in, and counts by its phase") {
    std::vector<float> samples = room(60.0);
    add_call(samples, 6.0);  // nobody inside yet
    add_call(samples, 12.0); // entry of the first animal
    add_call(samples, 16.0); // held
    add_call(samples, 20.5); // after the stun
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, recorder);
    play(station, samples, animals({10.0, 35.0}), 480);

    REQUIRE(recorder.calls.size() == 4);
    CHECK_FALSE(recorder.calls[0].passage_id);
    CHECK_FALSE(recorder.calls[0].counted);
    CHECK(recorder.calls[1].passage_id == 1);
    CHECK(recorder.calls[1].phase == Phase::kEntry);
    CHECK(recorder.calls[1].counted);
    CHECK(recorder.calls[2].phase == Phase::kHeld);
    CHECK(recorder.calls[2].counted);
    CHECK(recorder.calls[3].phase == Phase::kAfterStun);
    CHECK_FALSE(recorder.calls[3].counted);

    REQUIRE(recorder.passages.size() == 2);
    CHECK(recorder.passages[0].vocal);
    CHECK(recorder.passages[0].calls == 2);
    CHECK(recorder.passages[0].calls_after_stun == 1);
    CHECK(recorder.passages[0].covered);
    CHECK_FALSE(recorder.passages[1].vocal);
    CHECK(recorder.passages[1].covered);
}

TEST_CASE("A grunt is recorded in its passage and never counts") {
    std::vector<float> samples = room(40.0);
    add_call(samples, 12.0);
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo(CallKind::kGrunt);
    Station station(box_station(), &profile, kRates, recorder);
    play(station, samples, animals({10.0}), 480);
    REQUIRE(recorder.calls.size() == 1);
    CHECK(recorder.calls[0].passage_id == 1);
    CHECK_FALSE(recorder.calls[0].counted);
    REQUIRE(recorder.passages.size() == 1);
    CHECK_FALSE(recorder.passages[0].vocal);
}

TEST_CASE("What comes out doesn't depend on block sizes or on how late the contacts are known") {
    std::vector<float> samples = room(120.0);
    for (const double start_s : {6.0, 12.0, 17.9, 20.5, 45.0, 51.0, 77.0, 100.0})
        add_call(samples, start_s, 0.8);
    const auto edges = animals({10.0, 35.0, 70.0, 95.0});
    const Profile profile = every_sound_is_a_moo();
    Recorder reference;
    {
        Station station(box_station(), &profile, kRates, reference);
        play(station, samples, edges, samples.size());
    }
    REQUIRE(reference.calls.size() >= 8);
    REQUIRE(reference.passages.size() == 4);
    for (const std::size_t block : {160U, 333U, 480U, 16000U}) {
        for (const double late_s : {0.0, 0.4, 7.0}) {
            Recorder recorder;
            Station station(box_station(), &profile, kRates, recorder);
            play(station, samples, edges, block, late_s);
            CHECK(recorder.text.str() == reference.text.str());
            CHECK(recorder.passage_text.str() == reference.passage_text.str());
        }
    }
}

TEST_CASE("A dead microphone uncovers the passages it spans, and they are never quiet animals") {
    std::vector<float> samples = room(90.0);
    std::fill(samples.begin() + static_cast<long>(30 * kRate_hz),
              samples.begin() + static_cast<long>(45 * kRate_hz), 0.0F);
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, recorder);
    play(station, samples, animals({10.0, 35.0, 60.0}), 480);
    REQUIRE(recorder.passages.size() == 3);
    CHECK(recorder.passages[0].covered);
    CHECK_FALSE(recorder.passages[1].covered);
    CHECK(recorder.passages[1].excluded == "silent");
    CHECK(recorder.passages[2].covered);
    REQUIRE(recorder.gaps.size() == 1);
    CHECK(recorder.gaps[0].cause == GapCause::kSilent);
    CHECK(recorder.gaps[0].start_s == Approx(30.0).margin(0.1));
    CHECK(recorder.gaps[0].end_s == Approx(45.0).margin(0.1));
}

TEST_CASE("Lost samples uncover their passage and shift nothing that follows") {
    std::vector<float> samples = room(90.0);
    add_call(samples, 62.0);
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, recorder);
    const std::span<const float> all(samples);
    const auto at = [](double seconds) { return static_cast<std::size_t>(seconds * kRate_hz); };
    station.hear(0, all.first(at(37.0)));
    station.lose(0, static_cast<std::int64_t>(at(2.0)), GapCause::kOverrun);
    station.hear(0, all.subspan(at(39.0)));
    for (const Edge& edge : animals({10.0, 35.0, 60.0})) station.take(edge);
    station.contacts_known_until(90.0);
    station.finish();
    REQUIRE(recorder.passages.size() == 3);
    CHECK(recorder.passages[0].covered);
    CHECK(recorder.passages[1].excluded == "overrun");
    CHECK(recorder.passages[2].covered);
    CHECK(recorder.passages[2].vocal);
    REQUIRE_FALSE(recorder.calls.empty());
    CHECK(recorder.calls.back().heard.start_s == Approx(62.0).margin(0.15));
}

TEST_CASE("A gap after the stun leaves the passage scored and is told") {
    const std::vector<float> samples = room(60.0);
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, recorder);
    const std::span<const float> all(samples);
    station.hear(0, all.first(static_cast<std::size_t>(20 * kRate_hz)));
    station.lose(0, static_cast<std::int64_t>(1.0 * kRate_hz), GapCause::kOverrun);
    station.hear(0, all.subspan(static_cast<std::size_t>(21 * kRate_hz)));
    for (const Edge& edge : animals({10.0})) station.take(edge);
    station.finish();
    REQUIRE(recorder.passages.size() == 1);
    CHECK(recorder.passages[0].covered);
    CHECK(std::count(recorder.passages[0].flags.begin(), recorder.passages[0].flags.end(),
                     "after_stun_not_heard") == 1);
}

TEST_CASE("Contacts that did not answer uncover the passages they span") {
    const std::vector<float> samples = room(90.0);
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, recorder);
    station.lose_contacts("module", 40.0, 41.0);
    play(station, samples, animals({10.0, 35.0, 60.0}), 480);
    REQUIRE(recorder.passages.size() == 3);
    CHECK(recorder.passages[0].covered);
    CHECK(recorder.passages[1].excluded == "contacts_lost");
    CHECK(recorder.passages[2].covered);
}

TEST_CASE("A species that is never scored gives passages and gaps, and no calls") {
    std::vector<float> samples = room(40.0);
    add_call(samples, 12.0);
    StationSettings settings = box_station();
    settings.species = Species::kSheep;
    Recorder recorder;
    Station station(settings, nullptr, kRates, recorder);
    play(station, samples, animals({10.0}), 480);
    CHECK(recorder.calls.empty());
    REQUIRE(recorder.passages.size() == 1);
    CHECK(recorder.passages[0].covered);
}

TEST_CASE("Passages are decided while the station runs, not only at its end") {
    const std::vector<float> samples = room(120.0);
    const auto edges = animals({10.0, 35.0, 70.0});
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, recorder);
    const std::span<const float> all(samples);
    for (const Edge& edge : edges) station.take(edge);
    double decided_at_s = 0.0;
    for (std::size_t at = 0; at < all.size() && recorder.passages.empty(); at += 1600) {
        station.hear(0, all.subspan(at, 1600));
        decided_at_s = static_cast<double>(at + 1600) / kRate_hz;
        station.contacts_known_until(decided_at_s);
    }
    REQUIRE(recorder.passages.size() == 1);
    CHECK(decided_at_s > 25.0);
    CHECK(decided_at_s < 35.0);
}

TEST_CASE(
    "An animal whose entry was missed is not scored: nobody listened yet, or else its entry was not seen") {
    Recorder recorder;
    play_two(recorder, Role::kHeld);
    REQUIRE(recorder.passages.size() == 2);
    CHECK(recorder.passages[0].excluded == "not_covered");
    CHECK_FALSE(recorder.passages[0].covered);
    CHECK(recorder.passages[1].excluded == "entry_not_seen");
    CHECK(recorder.passages[1].covered);
}

TEST_CASE("An animal whose entry contact was closed when listening began is not scored") {
    Recorder recorder;
    play_two(recorder, Role::kEntered);
    REQUIRE(recorder.passages.size() == 2);
    CHECK(recorder.passages[0].excluded == "not_covered");
    CHECK_FALSE(recorder.passages[0].covered);
    CHECK(recorder.passages[1].excluded.empty());
    CHECK(recorder.passages[1].covered);
}

TEST_CASE("An animal whose entry was missed while the contacts were lost is not scored for that") {
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, recorder);
    station.lose_contacts("module", 40.0, 49.0);
    const std::vector<Edge> edges = {{50.0, Role::kHeld, true},     {56.0, Role::kStunned, true},
                                     {60.0, Role::kReleased, true}, {90.0, Role::kHeld, true},
                                     {96.0, Role::kStunned, true},  {100.0, Role::kReleased, true}};
    play(station, room(120.0), edges, 480);
    REQUIRE(recorder.passages.size() == 2);
    CHECK(recorder.passages[0].excluded == "contacts_lost");
    CHECK_FALSE(recorder.passages[0].covered);
    CHECK(recorder.passages[1].excluded == "entry_not_seen");
    CHECK(recorder.passages[1].covered);
}

TEST_CASE("A stun that was missed while the contacts were lost is excluded for that, another as not seen") {
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, recorder);
    station.lose_contacts("module", 54.0, 57.0);
    const std::vector<Edge> edges = {{10.0, Role::kEntered, true},
                                     {20.0, Role::kReleased, true},
                                     {50.0, Role::kEntered, true},
                                     {60.0, Role::kReleased, true}};
    std::vector<float> samples = room(90.0);
    add_call(samples, 12.0);
    play(station, samples, edges, 480);
    REQUIRE(recorder.passages.size() == 2);
    CHECK(recorder.passages[0].excluded == "stun_not_seen");
    CHECK(recorder.passages[0].covered);
    CHECK(recorder.passages[0].calls == 1); // its calls stay with it
    CHECK(recorder.passages[1].excluded == "contacts_lost");
}

TEST_CASE("A gap at the start of a passage that a stop of the line made very long still uncovers it") {
    StationSettings settings = box_station();
    settings.restraint.longest_s = 200.0;
    settings.restraint.after_stun_s = 1.0;
    settings.restraint.entry_before_s = 0.0;
    settings.contacts.emplace_back().role = Role::kStopped;
    Recorder recorder;
    const Profile profile = every_sound_is_a_moo();
    Station station(settings, &profile, kRates, recorder);
    station.lose_contacts("module", 11.0, 12.0);
    const std::vector<Edge> edges = {{10.0, Role::kEntered, true},
                                     {15.0, Role::kStopped, true},
                                     {205.0, Role::kStopped, false},
                                     {395.0, Role::kStunned, true},
                                     {399.0, Role::kReleased, true}};
    play(station, room(460.0), edges, 480);
    REQUIRE(recorder.passages.size() == 1);
    CHECK(recorder.passages[0].excluded == "contacts_lost");
}
