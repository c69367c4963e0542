#include "tests/scenario/builder.h"

#include <sndfile.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <numbers>

#include "daemon/failure.h"
#include "tests/scenario/csv_rows.h"
#include "tests/scenario/filters.h"
#include "tests/scenario/made_sound.h"
#include "tests/scenario/scenario_file.h"
#include "tests/test_folder.h"

namespace quietpass::scenario {

namespace {

constexpr int kRate = 16000;

Scenario float_scenario_of(const std::string& text) {
    Scenario scenario =
        parse_scenario("[audio]\nsample_rate_hz = 16000\nsamples = \"float\"\n" + text, "s.toml");
    scenario.recordings_folder = QUIETPASS_TESTDATA "/recordings";
    return scenario;
}

constexpr const char* kShort = R"(
[shift]
passages = 4
line_rate_per_hour = 160
lead_in_s = 2
lead_out_s = 2
[calls]
vocal_share = 0.75
snr_db = 7
snr_sd_db = 4
[waiting]
count = 2
snr_db = -1
[bed]
clips = "engine"
[[disturbance]]
made = "shot"
at = "stunned"
[[disturbance]]
class = "metal"
per_hour = 300
)";

// channels[c][i]
std::vector<std::vector<float>> read_audio(const std::string& path) {
    SF_INFO info{};
    SNDFILE* file = sf_open(path.c_str(), SFM_READ, &info);
    REQUIRE(file != nullptr);
    std::vector<float> frames(static_cast<std::size_t>(info.frames * info.channels));
    sf_readf_float(file, frames.data(), info.frames);
    sf_close(file);
    const std::size_t width = static_cast<std::size_t>(info.channels);
    std::vector<std::vector<float>> channels(width);
    for (std::size_t i = 0; i < frames.size(); ++i) channels[i % width].push_back(frames[i]);
    return channels;
}

double band_power(const std::vector<float>& samples, double start_s, double end_s, const Scenario& scenario) {
    BandFilter band(kRate, scenario.snr_low_hz, scenario.snr_high_hz);
    const std::size_t first = static_cast<std::size_t>(std::lround(start_s * kRate));
    const std::size_t last = static_cast<std::size_t>(std::lround(end_s * kRate));
    const std::span<const float> all(samples);
    const std::size_t run_in = std::min<std::size_t>(first, kRate);
    band.energy(all.subspan(first - run_in, run_in));
    return band.energy(all.subspan(first, last - first)) / static_cast<double>(last - first);
}

double rms_db(std::span<const float> samples) {
    double sum = 0.0;
    for (const float sample : samples) sum += static_cast<double>(sample * sample);
    return 10.0 * std::log10(sum / static_cast<double>(samples.size()));
}

} // namespace

TEST_CASE("the same scenario and seed give the same bytes, another seed others") {
    Scenario scenario = float_scenario_of(kShort);
    TestFolder first;
    TestFolder second;
    TestFolder third;
    scenario.float_samples = GENERATE(true, false);
    build(scenario, {first.path(), false, {}});
    build(scenario, {second.path(), false, {}});
    scenario.seed = 2;
    build(scenario, {third.path(), false, {}});
    for (const char* name :
         {"audio.wav", "contacts.csv", "truth.csv", "truth_calls.csv", "truth_sounds.csv"}) {
        CAPTURE(name);
        CHECK(first.text(name).size() > 30);
        CHECK((first.text(name) == second.text(name)));
        CHECK((first.text(name) != third.text(name)));
    }
    // A PEAK chunk holds the second of writing.
    CHECK(first.text("audio.wav").substr(0, 200).find("PEAK") == std::string::npos);
}

TEST_CASE("the signal-to-noise ratio that was asked for is the one that was mixed") {
    const std::string pig = "[grunts]\nshare = 0.5\nsnr_db = 3\n";
    const bool cattle = GENERATE(true, false);
    std::string text = kShort;
    if (!cattle) text.replace(text.find("[shift]"), 7, pig + "[shift]\nspecies = \"pig\"");
    const Scenario scenario = float_scenario_of(text);
    TestFolder out;
    build(scenario, {out.path(), true, {}});
    const std::vector<float> bed = read_audio(out.path("bed.wav"))[0];
    const std::vector<float> calls = read_audio(out.path("calls.wav"))[0];
    const std::vector<CsvRow> rows = csv_rows(out.text("truth_calls.csv"));
    REQUIRE(rows.size() >= 5);
    for (const CsvRow& row : rows) {
        const double start_s = std::stod(row.at("start_s"));
        const double end_s = std::stod(row.at("end_s"));
        const double ratio =
            band_power(calls, start_s, end_s, scenario) / band_power(bed, start_s, end_s, scenario);
        CAPTURE(row.at("recording"), start_s);
        CHECK(10.0 * std::log10(ratio) == Approx(std::stod(row.at("snr_db"))).margin(0.3));
    }
}

TEST_CASE("audio is bed, calls and disturbances, and nothing else") {
    Scenario scenario = float_scenario_of(kShort);
    scenario.disturbances.clear();
    TestFolder out;
    const BuildSummary summary = build(scenario, {out.path(), true, {}});
    const std::vector<float> audio = read_audio(out.path("audio.wav"))[0];
    const std::vector<float> bed = read_audio(out.path("bed.wav"))[0];
    const std::vector<float> calls = read_audio(out.path("calls.wav"))[0];
    REQUIRE(audio.size() == static_cast<std::size_t>(std::lround(summary.length_s * kRate)));
    REQUIRE(bed.size() == audio.size());
    float worst = 0.0F;
    for (std::size_t i = 0; i < audio.size(); ++i)
        worst = std::max(worst, std::abs(audio[i] - bed[i] - calls[i]));
    CHECK(worst < 1e-6F);
    CHECK(summary.clipped_samples == 0);
}

TEST_CASE("a call is silent before the onset that truth gives and sounds from there on") {
    const Scenario scenario = float_scenario_of(kShort);
    TestFolder out;
    build(scenario, {out.path(), true, {}});
    const std::vector<float> calls = read_audio(out.path("calls.wav"))[0];
    for (const CsvRow& row : csv_rows(out.text("truth_calls.csv"))) {
        const std::size_t onset = static_cast<std::size_t>(std::lround(std::stod(row.at("start_s")) * kRate));
        const std::span<const float> all(calls);
        const double before = rms_db(all.subspan(onset - 100, 95));
        const double after = rms_db(all.subspan(onset, kRate / 5));
        CAPTURE(row.at("recording"), row.at("start_s"));
        CHECK(after > before + 12.0);
    }
}

TEST_CASE("the summary, truth.csv and truth_calls.csv tell the same counts") {
    const Scenario scenario = float_scenario_of(kShort);
    TestFolder out;
    const BuildSummary summary = build(scenario, {out.path(), false, {}});
    int vocal = 0;
    int calls = 0;
    for (const CsvRow& row : csv_rows(out.text("truth.csv"))) {
        vocal += std::stoi(row.at("vocal"));
        calls += std::stoi(row.at("calls"));
    }
    int counted = 0;
    int all = 0;
    for (const CsvRow& row : csv_rows(out.text("truth_calls.csv"))) {
        counted += std::stoi(row.at("counted"));
        ++all;
    }
    CHECK(vocal == 3);
    CHECK(summary.vocal_passages == vocal);
    CHECK(summary.counted_calls == calls);
    CHECK(calls == counted);
    CHECK(summary.calls == all);
    CHECK(all == counted + 2);
}

TEST_CASE("the bed has the level that was asked for") {
    Scenario scenario =
        float_scenario_of("[shift]\npassages = 0\nlead_in_s = 80\n[bed]\nlevel_db = -30\nsway_db = 0\n");
    scenario.bed.hum_off_s = 0.0;
    scenario.microphones.front().low_cut_hz = 1.0;
    TestFolder out;
    build(scenario, {out.path(), false, {}});
    CHECK(rms_db(read_audio(out.path("audio.wav"))[0]) == Approx(-30.0).margin(0.7));
}

TEST_CASE(
    "a microphone up the race hears waiting animals earlier and louder, the held one later and softer") {
    Scenario scenario = float_scenario_of(R"(
[shift]
passages = 2
[calls]
vocal_share = 0.5
number_weights = [1]
[waiting]
count = 1
only_when_empty = true
[room]
near_wet_db = -60
far_wet_db = -60
[[microphone]]
name = "head"
distance_m = 1.0
race_distance_m = 10.0
[[microphone]]
name = "race"
distance_m = 8.0
race_distance_m = 2.5
)");
    TestFolder out;
    build(scenario, {out.path(), true, {}});
    const auto calls = read_audio(out.path("calls.wav"));
    REQUIRE(calls.size() == 2);
    const auto first_sound = [](const std::vector<float>& samples, double from_s) {
        float peak = 0.0F;
        const std::size_t from = static_cast<std::size_t>((from_s - 0.1) * kRate);
        const std::size_t to = std::min(samples.size(), from + 2 * kRate);
        for (std::size_t i = from; i < to; ++i) peak = std::max(peak, std::abs(samples[i]));
        for (std::size_t i = from; i < to; ++i) {
            if (std::abs(samples[i]) > 0.02F * peak) return static_cast<double>(i) / kRate;
        }
        return -1.0;
    };
    for (const CsvRow& row : csv_rows(out.text("truth_calls.csv"))) {
        const bool waiting = row.at("phase") == "waiting";
        const double start_s = std::stod(row.at("start_s"));
        const double end_s = std::stod(row.at("end_s")) + 0.05;
        const double farther_m = waiting ? 2.5 - 10.0 : 8.0 - 1.0;
        const double gain_db = waiting ? 20.0 * std::log10(10.0 / 2.5) : 20.0 * std::log10(1.0 / 8.0);
        const std::size_t first = static_cast<std::size_t>((start_s - 0.05) * kRate);
        const std::size_t count = static_cast<std::size_t>((end_s - start_s + 0.05) * kRate);
        const double head = rms_db(std::span(calls[0]).subspan(first, count));
        const double race = rms_db(std::span(calls[1]).subspan(first, count));
        CHECK(race - head == Approx(gain_db).margin(0.3));
        CHECK(first_sound(calls[1], start_s) - first_sound(calls[0], start_s) ==
              Approx(farther_m / 343.0).margin(0.0005));
    }
}

TEST_CASE("animals at places along the race are heard by distance, and as loud at the mouth as one another") {
    Scenario scenario = float_scenario_of(R"(
[shift]
passages = 6
[calls]
vocal_share = 1
number_weights = [1]
entry_from_m = 2.5
[calls.phases]
entry = 1
held = 1
[waiting]
count = 4
nearest_m = 4
farthest_m = 12
like_calls = true
low_pass_hz = 7000
[room]
near_wet_db = -60
[[microphone]]
name = "head"
up_race_m = 0
[[microphone]]
name = "race"
up_race_m = 7
)");
    TestFolder out;
    build(scenario, {out.path(), true, {}});
    const auto calls = read_audio(out.path("calls.wav"));
    const auto place_to = [](double place_m, double microphone_m) {
        return std::hypot(place_m - microphone_m, 1.5);
    };
    int waiting = 0;
    int walking = 0;
    for (const CsvRow& row : csv_rows(out.text("truth_calls.csv"))) {
        const double place_m = std::stod(row.at("place_m"));
        const double start_s = std::stod(row.at("start_s"));
        const double end_s = std::stod(row.at("end_s")) + 0.05;
        if (row.at("phase") == "waiting") {
            ++waiting;
            CHECK(place_m >= 4.0);
            CHECK(place_m <= 12.0);
            // 15 dB at 1.5 m; the hall is off.
            CHECK(std::stod(row.at("snr_db")) ==
                  Approx(15.0 + 20.0 * std::log10(1.5 / place_to(place_m, 0.0))).margin(0.05));
        } else if (row.at("phase") == "entry") {
            CHECK(place_m > 0.0);
            CHECK(place_m < 2.5);
            ++walking;
        } else {
            CHECK(place_m == 0.0);
        }
        const std::size_t first = static_cast<std::size_t>((start_s - 0.05) * kRate);
        const std::size_t count = static_cast<std::size_t>((end_s - start_s + 0.05) * kRate);
        const double head = rms_db(std::span(calls[0]).subspan(first, count));
        const double race = rms_db(std::span(calls[1]).subspan(first, count));
        CHECK(race - head ==
              Approx(20.0 * std::log10(place_to(place_m, 0.0) / place_to(place_m, 7.0))).margin(0.3));
    }
    CHECK(waiting == 4);
    CHECK(walking > 0);
}

TEST_CASE("a scenario that can't be built leaves no file behind") {
    Scenario scenario = float_scenario_of(kShort);
    scenario.calls.recordings_class = "unicorn";
    TestFolder out;
    CHECK_THROWS_AS(build(scenario, {out.path("shift"), false, {}}), Failure);
    CHECK_FALSE(std::filesystem::exists(out.path("shift")));
}

TEST_CASE("an output folder that can't be is named") {
    CHECK_THROWS_WITH(build(float_scenario_of(kShort), {"/proc/nothing/here", false, {}}),
                      Catch::StartsWith("/proc/nothing/here: can't be made"));
}

TEST_CASE("the band filter is 3 dB down at its edges and flat between them") {
    const auto gain_db = [](double hz) {
        BandFilter band(kRate, 80, 2500);
        std::vector<float> tone(kRate * 2);
        for (std::size_t i = 0; i < tone.size(); ++i) {
            tone[i] =
                static_cast<float>(std::sin(2.0 * std::numbers::pi * hz * static_cast<double>(i) / kRate));
        }
        const std::span<const float> all(tone);
        band.energy(all.first(kRate));
        return 10.0 * std::log10(band.energy(all.last(kRate)) / (0.5 * kRate));
    };
    CHECK(gain_db(80) == Approx(-3.01).margin(0.05));
    CHECK(gain_db(2500) == Approx(-3.01).margin(0.05));
    CHECK(gain_db(450) == Approx(0.0).margin(0.05));
    CHECK(gain_db(40) == Approx(-24.1).margin(0.3));
}

TEST_CASE("made sounds are finite, reach full scale and differ by seed") {
    for (const char* made : {"bang", "clang", "air", "shot", "horn"}) {
        CAPTURE(made);
        const std::vector<float> one = make_sound(made, 1, kRate);
        const std::vector<float> two = make_sound(made, 2, kRate);
        CHECK(one != two);
        CHECK(one == make_sound(made, 1, kRate));
        float peak = 0.0F;
        for (const float sample : one) {
            REQUIRE(std::isfinite(sample));
            peak = std::max(peak, std::abs(sample));
        }
        CHECK(peak == Approx(1.0F));
        CHECK(static_cast<double>(one.size()) / kRate == Approx(made_length_s(made, 1)).margin(0.001));
    }
}

} // namespace quietpass::scenario
