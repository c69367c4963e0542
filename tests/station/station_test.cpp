#include "daemon/station.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>
#include <sstream>
#include <string>
#include <vector>

#include "classifiers/measures.h"
#include "classifiers/profile.h"

using namespace quietpass;

namespace {

constexpr double kRate_hz = 16000.0;

// Every sound with a steady pitch is a moo: these tests are about where a call belongs, not about what a call
// is.
Profile every_sound_is_a_moo(CallKind kind = CallKind::kMoo) {
    Profile profile;
    profile.name = "every sound";
    Scorecard card;
    card.kind = kind;
    card.base = 1.0;
    card.gates.push_back({*measure_index("pitch_run_s"), 0.3F, std::numeric_limits<float>::infinity()});
    profile.cards.push_back(card);
    return profile;
}

StationSettings box_station() {
    StationSettings settings;
    settings.name = "test box";
    settings.microphones.emplace_back().name = "head";
    settings.restraint.head_holder = true;
    for (const Role role : {Role::kEntered, Role::kHeld, Role::kStunned, Role::kReleased}) {
        ContactSettings contact;
        contact.role = role;
        contact.name = std::string(name_of(role));
        settings.contacts.push_back(contact);
    }
    return settings;
}

struct Recorder : StationEvents {
    void on_call(const StationCall& call) override {
        calls.push_back(call);
        text << "call " << call.id << ' ' << call.microphone << ' ' << call.heard.start_s << ' '
             << call.heard.end_s << ' ' << call.passage_id.value_or(-1) << ' '
             << (call.phase ? name_of(*call.phase) : "-") << ' ' << call.counted << ' ' << call.reason
             << '\n';
    }
    void on_passage(const Passage& passage) override {
        passages.push_back(passage);
        passage_text << passage.id << ' ' << passage.entered_s << ' ' << passage.end_s << ' ' << passage.calls
                     << ' ' << passage.covered << ' ' << passage.excluded << '\n';
    }
    void on_gap(const Gap& gap) override { gaps.push_back(gap); }
    void on_stray_edge(const Edge& edge, const std::string&) override { strays.push_back(edge); }
    void on_stop(double, double) override {}

    std::vector<StationCall> calls;
    std::vector<Passage> passages;
    std::vector<Gap> gaps;
    std::vector<Edge> strays;
    std::ostringstream text;
    std::ostringstream passage_text;
};

std::vector<float> room(double seconds) {
    std::mt19937 random(3);
    std::normal_distribution<float> sample(0.0F, 0.003F);
    std::vector<float> samples(static_cast<std::size_t>(seconds * kRate_hz));
    for (float& value : samples) value = sample(random);
    return samples;
}

// A rising and falling voice with harmonics, far over the room.
void add_call(std::vector<float>& samples, double start_s, double length_s = 1.0, float gain = 0.1F) {
    double phase = 0.0;
    const auto first = static_cast<std::size_t>(start_s * kRate_hz);
    const auto count = static_cast<std::size_t>(length_s * kRate_hz);
    for (std::size_t i = 0; i < count && first + i < samples.size(); ++i) {
        const double share = static_cast<double>(i) / static_cast<double>(count);
        const double arch = std::sin(std::numbers::pi * share);
        phase += 2.0 * std::numbers::pi * (150.0 + 60.0 * arch) / kRate_hz;
        double voice = 0.0;
        for (int harmonic = 1; harmonic <= 8; ++harmonic) voice += std::sin(harmonic * phase) / harmonic;
        samples[first + i] += gain * static_cast<float>(std::sqrt(arch) * voice);
    }
}

// One animal: in at t, held at t+5, stunned at t+8, out at t+15.
std::vector<Edge> animal(double entered_s) {
    return {{entered_s, Role::kEntered, true},         {entered_s + 0.6, Role::kEntered, false},
            {entered_s + 5.0, Role::kHeld, true},      {entered_s + 8.0, Role::kStunned, true},
            {entered_s + 8.3, Role::kStunned, false},  {entered_s + 9.0, Role::kHeld, false},
            {entered_s + 15.0, Role::kReleased, true}, {entered_s + 15.5, Role::kReleased, false}};
}

std::vector<Edge> animals(std::initializer_list<double> entries_s) {
    std::vector<Edge> edges;
    for (const double entered_s : entries_s) {
        const auto one = animal(entered_s);
        edges.insert(edges.end(), one.begin(), one.end());
    }
    return edges;
}

// Plays audio and edges in blocks; edges and what is known of them come `late_s` behind the sound.
void play(Station& station, const std::vector<float>& samples, const std::vector<Edge>& edges,
          std::size_t block, double late_s = 0.0) {
    const std::span<const float> all(samples);
    auto edge = edges.begin();
    for (std::size_t at = 0; at < all.size(); at += block) {
        const std::size_t count = std::min(block, all.size() - at);
        station.hear(0, all.subspan(at, count));
        const double known_s = static_cast<double>(at + count) / kRate_hz - late_s;
        for (; edge != edges.end() && edge->time_s < known_s; ++edge) station.take(*edge);
        if (known_s > 0.0) station.contacts_known_until(known_s);
    }
    for (; edge != edges.end() && edge->time_s < static_cast<double>(all.size()) / kRate_hz; ++edge)
        station.take(*edge);
    station.finish();
}

const double kRates[] = {kRate_hz};

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
