// What is published of the calls of cattle and pigs, as checks of the finder and its measures; marked
// [shipped], the same of the profiles that ship, as they are.
//
// Bull bellow, f0 maximum 113.6 Hz; bull bugle 958 Hz (801 … 1,125 Hz), two voices at once: published for
// bulls. Low call of cows, mouth closed, f0 about 81 Hz: from memory (a study of 2015). A-weighting
// takes 22.5 dB off 80 Hz: computed from the definition in IEC 61672-1. Grunts don't count: notes to the
// North American meat industry's guide.
#include <sndfile.h>
#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>
#include <string>

#include "classifiers/ear.h"
#include "classifiers/profile_text.h"
#include "dsp/level_meter.h"
#include "tests/classifiers/signals.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

constexpr double kRate = 48000.0;
constexpr double kLead_s = 4.0;

Profile shipped(const std::string& name) {
    std::ifstream file(std::string(QUIETPASS_SOURCE_DIR) + "/classifiers/profiles/" + name);
    std::stringstream text;
    text << file.rdbuf();
    return profile_from_toml(text.str());
}

std::vector<HeardCall> calls_in(const Samples& samples, double rate_hz, const Profile& profile) {
    Ear ear(rate_hz, profile);
    std::vector<HeardCall> calls;
    HeardCall call;
    const auto block = static_cast<std::size_t>(rate_hz);
    for (std::size_t at = 0; at < samples.size(); at += block) {
        ear.process({samples.data() + at, std::min(block, samples.size() - at)});
        while (ear.take(call)) calls.push_back(call);
    }
    ear.finish();
    while (ear.take(call)) calls.push_back(call);
    return calls;
}

bool counted_in(const std::vector<HeardCall>& calls, double start_s, double end_s) {
    return std::any_of(calls.begin(), calls.end(), [&](const HeardCall& call) {
        return can_count(call.kind) && call.start_s < end_s && call.end_s > start_s;
    });
}

Samples in_pink(const Samples& call, double noise_rms) {
    Samples samples = pink(kRate, kLead_s + 6.0, noise_rms, 5);
    add(samples, call, kRate, kLead_s);
    return samples;
}

constexpr double kBugle_s = 1.4;

// From 801 up to 1,125 Hz and down again.
Samples bugle(double rms) {
    return voice(kRate, kBugle_s, rms,
                 [](double x) { return 801.0 + 324.0 * std::sin(std::numbers::pi * x); });
}

// With a bellow under it: two voices of one throat.
Samples two_voices(double rms) {
    Samples both = bugle(rms);
    add(both,
        voice(kRate, kBugle_s, 0.5 * rms,
              [](double x) { return 95.0 + 18.6 * std::sin(std::numbers::pi * x); }),
        kRate, 0.0);
    return both;
}

constexpr double kLowCall_s = 1.6;

// Mouth closed: about 81 Hz, harmonics falling by 12 dB an octave.
Samples low_call(double rms) {
    Samples out(static_cast<std::size_t>(kRate * kLowCall_s));
    double phase = 0.0;
    double power = 0.0;
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double x = static_cast<double>(i) / static_cast<double>(out.size());
        phase += 2.0 * std::numbers::pi * (77.0 + 7.0 * std::sin(std::numbers::pi * x)) / kRate;
        double sum = 0.0;
        for (int h = 1; h <= 12; ++h) sum += std::sin(h * phase) / (h * h);
        out[i] = static_cast<float>(sum * std::min(1.0, 10.0 * std::min(x, 1.0 - x)));
        power += static_cast<double>(out[i]) * out[i];
    }
    const auto scale = static_cast<float>(rms / std::sqrt(power / static_cast<double>(out.size())));
    for (float& sample : out) sample *= scale;
    return out;
}

double level_db(const Samples& samples, dsp::Weighting weighting) {
    dsp::LevelMeter meter(kRate, weighting, dsp::TimeWeighting::kFast);
    meter.process(samples);
    return meter.equivalent_db();
}

// A real recording of testdata/ after some seconds of pink noise that goes on under it, snr_db under its
// loudest second.
struct Scene {
    Samples samples;
    double rate_hz = 0.0;
    double length_s = 0.0;
};

Scene recorded(const std::string& name, double gain, double snr_db) {
    SF_INFO info{};
    const std::string path = std::string(QUIETPASS_SOURCE_DIR) + "/testdata/recordings/" + name;
    SNDFILE* file = sf_open(path.c_str(), SFM_READ, &info);
    REQUIRE(file != nullptr);
    REQUIRE(info.channels == 1);
    Samples clip(static_cast<std::size_t>(info.frames));
    REQUIRE(sf_readf_float(file, clip.data(), info.frames) == info.frames);
    sf_close(file);
    Scene scene;
    scene.rate_hz = info.samplerate;
    scene.length_s = static_cast<double>(clip.size()) / scene.rate_hz;
    double loudest = 0.0;
    const auto second = static_cast<std::size_t>(info.samplerate);
    for (std::size_t at = 0; at < clip.size(); at += second / 4) {
        double power = 0.0;
        for (std::size_t i = at; i < std::min(at + second, clip.size()); ++i)
            power += static_cast<double>(clip[i]) * clip[i];
        loudest = std::max(loudest, power / static_cast<double>(second));
    }
    for (float& sample : clip) sample *= static_cast<float>(gain);
    scene.samples = pink(scene.rate_hz, kLead_s + scene.length_s + 2.0,
                         gain * std::sqrt(loudest) * std::pow(10.0, -snr_db / 20.0), 3);
    add(scene.samples, clip, scene.rate_hz, kLead_s);
    return scene;
}

const char* const kGrunts[] = {
    "pig_grunt/ESC-50-16k__1-208757-B-2.flac", "pig_grunt/ESC-50-16k__1-208757-E-2.flac",
    "pig_grunt/ESC-50-16k__2-158746-C-2.flac", "pig_grunt/ESC-50-16k__3-257858-A-2.flac"};

} // namespace

TEST_CASE(
    "a bull's bugle near 1 kHz is found whole by the cattle ear, with its pitch and arch, in noise 5 dB "
    "under it") {
    const SegmentSettings settings = shipped("cattle.toml").segments;
    for (const double noise_rms : {0.002, 0.028}) {
        const auto sounds = sounds_in(in_pink(bugle(0.05), noise_rms), kRate, settings);
        REQUIRE(covered(sounds, kLead_s, kLead_s + kBugle_s) > 0.8);
        const Sound& s = *std::max_element(sounds.begin(), sounds.end(), [](const Sound& a, const Sound& b) {
            return a.measures[kVoiceS] < b.measures[kVoiceS];
        });
        CAPTURE(noise_rms);
        CHECK(s.measures[kVoiceS] > 1.1F);
        // Half of the time over 801 + 324·sin(π/4) Hz.
        CHECK(s.measures[kVoiceF0Hz] == Approx(1030.0).epsilon(0.03));
        CHECK(s.measures[kVoiceF0HighHz] == Approx(1121.0).epsilon(0.03));
        CHECK(s.measures[kVoiceF0LowHz] > 780.0F);
        // The middle of a half sine stands 324 Hz over its ends.
        CHECK(s.measures[kVoiceArchOct] > 0.3F);
    }
}

TEST_CASE("a bugle with a bellow under it, two voices at once, is found whole and has a pitch throughout") {
    const SegmentSettings settings = shipped("cattle.toml").segments;
    const auto sounds = sounds_in(in_pink(two_voices(0.05), 0.016), kRate, settings);
    REQUIRE(covered(sounds, kLead_s, kLead_s + kBugle_s) > 0.8);
    const Sound& s = *std::max_element(sounds.begin(), sounds.end(), [](const Sound& a, const Sound& b) {
        return a.measures[kVoiceS] < b.measures[kVoiceS];
    });
    CAPTURE(s.measures[kVoiceF0Hz], s.measures[kVoiceS]);
    CHECK(s.measures[kVoiceS] > 1.1F);
}

TEST_CASE(
    "a low call near 80 Hz that dB(A) puts under the background is found with its pitch, at any level") {
    const SegmentSettings settings = shipped("cattle.toml").segments;
    for (const double rms : {0.1, 0.01, 0.001}) {
        const Samples call = low_call(rms);
        const Samples background = pink(kRate, 4.0, rms / 2.5, 5);
        // As far over the background as it is as under it with A.
        REQUIRE(level_db(call, dsp::Weighting::kZ) > level_db(background, dsp::Weighting::kZ) + 7.0);
        REQUIRE(level_db(call, dsp::Weighting::kA) < level_db(background, dsp::Weighting::kA) - 7.0);
        const auto sounds = sounds_in(in_pink(call, rms / 2.5), kRate, settings);
        CAPTURE(rms);
        REQUIRE(covered(sounds, kLead_s + 0.1, kLead_s + kLowCall_s - 0.1) > 0.8);
        const Sound& s = *std::max_element(sounds.begin(), sounds.end(), [](const Sound& a, const Sound& b) {
            return a.measures[kVoiceS] < b.measures[kVoiceS];
        });
        CHECK(s.measures[kVoiceS] > 1.0F);
        CHECK(s.measures[kVoiceF0Hz] == Approx(81.9).epsilon(0.03));
    }
}

TEST_CASE("real grunts are found by the pig ear, and their kind can't count") {
    const SegmentSettings settings = shipped("pig.toml").segments;
    for (const char* const name : kGrunts) {
        const Scene scene = recorded(name, 1.0, 20.0);
        const auto sounds = sounds_in(scene.samples, scene.rate_hz, settings);
        CAPTURE(name);
        CHECK(std::any_of(sounds.begin(), sounds.end(), [](const Sound& s) { return s.end_s > kLead_s; }));
    }
    CHECK_FALSE(can_count(CallKind::kGrunt));
}

TEST_CASE("shipped: a bull's bugle with a bellow under it is a call of cattle", "[shipped]") {
    const Profile cattle = shipped("cattle.toml");
    CHECK(counted_in(calls_in(in_pink(two_voices(0.05), 0.005), kRate, cattle), kLead_s, kLead_s + kBugle_s));
}

TEST_CASE("shipped: a bull's bugle near 1 kHz alone is a call of cattle", "[shipped]") {
    const Profile cattle = shipped("cattle.toml");
    CHECK(counted_in(calls_in(in_pink(bugle(0.05), 0.005), kRate, cattle), kLead_s, kLead_s + kBugle_s));
    CHECK(counted_in(calls_in(in_pink(bugle(0.05), 0.016), kRate, cattle), kLead_s, kLead_s + kBugle_s));
}

TEST_CASE("shipped: a low call near 80 Hz that dB(A) puts under the background is a call of cattle",
          "[shipped]") {
    const Profile cattle = shipped("cattle.toml");
    for (const double rms : {0.1, 0.001}) {
        CAPTURE(rms);
        CHECK(counted_in(calls_in(in_pink(low_call(rms), rms / 2.5), kRate, cattle), kLead_s,
                         kLead_s + kLowCall_s));
    }
}

TEST_CASE("shipped: no real grunt is ever called a squeal, loud or soft, near or in noise", "[shipped]") {
    const Profile pig = shipped("pig.toml");
    for (const char* const name : kGrunts) {
        for (const double gain : {1.0, 0.05}) {
            for (const double snr_db : {30.0, 15.0, 5.0}) {
                const Scene scene = recorded(name, gain, snr_db);
                CAPTURE(name, gain, snr_db);
                CHECK_FALSE(counted_in(calls_in(scene.samples, scene.rate_hz, pig), 0.0,
                                       kLead_s + scene.length_s + 2.0));
            }
        }
    }
}
