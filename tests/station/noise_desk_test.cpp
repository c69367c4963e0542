#include "daemon/station/noise_desk.h"

#include <catch2/catch.hpp>

#include "tests/station/box_station.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

struct Noises : Recorder {
    void on_noise(const StationNoise& noise) override {
        noises.push_back(noise);
        text << "noise " << name_of(noise.heard.kind) << ' ' << noise.heard.start_s << ' '
             << noise.heard.level_db << ' ' << noise.passage_id.value_or(-1) << ' ' << noise.by_equipment
             << '\n';
    }
    std::vector<StationNoise> noises;
};

// Something hard hits steel: all frequencies at once, gone within a fifth of a second.
void add_bang(std::vector<float>& samples, double start_s, float gain = 0.3F) {
    std::mt19937 random(static_cast<std::uint32_t>(start_s * 1000.0));
    std::normal_distribution<float> sample(0.0F, 1.0F);
    const auto first = static_cast<std::size_t>(start_s * kRate_hz);
    for (std::size_t i = 0; i < static_cast<std::size_t>(0.25 * kRate_hz) && first + i < samples.size();
         ++i) {
        samples[first + i] +=
            gain * sample(random) * std::exp(-static_cast<float>(i) / (0.03F * static_cast<float>(kRate_hz)));
    }
}

// Air let out: even noise above 2 kHz.
void add_hiss(std::vector<float>& samples, double start_s, double length_s, float gain = 0.1F) {
    std::mt19937 random(5);
    std::normal_distribution<float> sample(0.0F, gain);
    float last = 0.0F;
    const auto first = static_cast<std::size_t>(start_s * kRate_hz);
    const auto count = static_cast<std::size_t>(length_s * kRate_hz);
    for (std::size_t i = 0; i < count && first + i < samples.size(); ++i) {
        const float now = sample(random);
        samples[first + i] += now - last; // rises by 6 dB an octave
        last = now;
    }
}

} // namespace

TEST_CASE("Bangs while the animal is held are counted for its passage, those of the equipment are not") {
    std::vector<float> samples = room(60.0);
    add_bang(samples, 15.1); // the head's holder closes at 15
    for (const double at_s : {16.2, 16.6, 17.1}) add_bang(samples, at_s);
    add_bang(samples, 18.1); // the stun
    add_bang(samples, 12.0); // entry: no holder yet
    Noises noises;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, noises);
    play(station, samples, animals({10.0, 35.0}), 480);
    REQUIRE(noises.passages.size() == 2);
    CHECK(noises.passages[0].bangs == 3);
    CHECK(noises.passages[1].bangs == 0);
    REQUIRE(noises.noises.size() == 6);
    CHECK(noises.noises[0].phase == Phase::kEntry);
    CHECK_FALSE(noises.noises[0].by_equipment);
    CHECK(noises.noises[1].by_equipment);
    CHECK(noises.noises[2].heard.start_s == Approx(16.2).margin(0.06));
    CHECK(noises.noises[2].passage_id == 1);
    CHECK(noises.noises[5].by_equipment);
    CHECK(noises.calls.empty());
}

TEST_CASE("A call's row says how loud the bang and the hiss in the second before it were") {
    std::vector<float> samples = room(60.0);
    add_bang(samples, 15.9, 0.1F);
    add_bang(samples, 16.3, 0.3F);
    add_call(samples, 16.8, 0.8);
    add_hiss(samples, 39.0, 0.6);
    add_call(samples, 40.0, 0.8);
    add_call(samples, 42.5, 0.8);
    Noises noises;
    const Profile profile = every_sound_is_a_moo();
    Station station(box_station(), &profile, kRates, noises);
    play(station, samples, animals({10.0, 35.0}), 480);
    REQUIRE(noises.calls.size() == 3);
    REQUIRE(noises.calls[0].bang_before_db);
    CHECK_FALSE(noises.calls[0].hiss_before_db);
    CHECK_FALSE(noises.calls[1].bang_before_db);
    REQUIRE(noises.calls[1].hiss_before_db);
    CHECK_FALSE(noises.calls[2].bang_before_db);
    CHECK_FALSE(noises.calls[2].hiss_before_db);
    double loudest_db = -200.0;
    for (const StationNoise& noise : noises.noises) {
        if (noise.heard.kind == NoiseKind::kBang) loudest_db = std::max(loudest_db, noise.heard.level_db);
    }
    CHECK(*noises.calls[0].bang_before_db == loudest_db);
}

TEST_CASE("Noises, and what calls say of them, don't depend on blocks or on how late contacts are known") {
    std::vector<float> samples = room(60.0);
    for (const double at_s : {12.3, 15.1, 16.2, 16.6, 17.1, 40.5, 41.2, 42.1}) add_bang(samples, at_s);
    add_hiss(samples, 25.2, 0.7);
    add_call(samples, 16.9, 0.6);
    add_call(samples, 41.5, 0.6);
    const Profile profile = every_sound_is_a_moo();
    const auto edges = animals({10.0, 35.0});
    Noises reference;
    {
        Station station(box_station(), &profile, kRates, reference);
        play(station, samples, edges, samples.size());
    }
    REQUIRE(reference.noises.size() >= 7); // one is hidden by a call
    for (const std::size_t block : {160U, 333U, 16000U}) {
        for (const double late_s : {0.0, 7.0}) {
            Noises noises;
            Station station(box_station(), &profile, kRates, noises);
            play(station, samples, edges, block, late_s);
            std::vector<double> starts_s;
            REQUIRE(noises.noises.size() == reference.noises.size());
            for (std::size_t i = 0; i < noises.noises.size(); ++i) {
                CHECK(noises.noises[i].heard.start_s == reference.noises[i].heard.start_s);
                CHECK(noises.noises[i].by_equipment == reference.noises[i].by_equipment);
                CHECK(noises.noises[i].passage_id == reference.noises[i].passage_id);
            }
            REQUIRE(noises.calls.size() == reference.calls.size());
            for (std::size_t i = 0; i < noises.calls.size(); ++i) {
                CHECK(noises.calls[i].bang_before_db == reference.calls[i].bang_before_db);
            }
            for (std::size_t i = 0; i < noises.passages.size(); ++i) {
                CHECK(noises.passages[i].bangs == reference.passages[i].bangs);
            }
        }
    }
}

TEST_CASE("A bang that two microphones heard is one, as the louder of them heard it") {
    StationSettings settings = box_station();
    settings.microphones.emplace_back().name = "side";
    Cycle cycle(settings.restraint, std::vector<Role>{Role::kEntered, Role::kStunned});
    std::vector<StationMicrophone> microphones;
    for (const auto& microphone : settings.microphones) {
        microphones.emplace_back(microphone, kRate_hz, nullptr, settings.health);
    }
    OriginTracer tracer(settings, nullptr, microphones, 60.0);
    NoiseDesk desk(settings, cycle, tracer, microphones);
    desk.add({5.00, 5.00, NoiseKind::kBang, -40.0}, 0);
    desk.add({5.05, 5.05, NoiseKind::kBang, -30.0}, 1);
    desk.add({5.50, 5.50, NoiseKind::kBang, -35.0}, 0);
    cycle.known_until(10.0);
    std::vector<StationNoise> told;
    desk.settle(10.0, 10.0, [&](const StationNoise& noise) { told.push_back(noise); });
    REQUIRE(told.size() == 2);
    CHECK(told[0].microphone == "side");
    CHECK(told[0].heard.level_db == -30.0);
    CHECK(told[0].heard.start_s == 5.0);
    CHECK(told[1].microphone == "head");
}
