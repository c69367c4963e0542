// f0 and harmonics-to-noise ratio against praat 6.3.07, To Pitch (ac) and To Harmonicity (ac), 50 … 2500 Hz
// (golden/pitch.csv, made by golden/make_golden.py). Ratios above 25 dB count as 25: there both only measure
// how the frame cuts the sound. The noise floor is not subtracted here, since praat does not either.
#include <sndfile.h>
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <map>

#include "dsp/analysis.h"
#include "dsp/pitch.h"
#include "dsp/pitch_path.h"
#include "dsp/power_spectrum.h"
#include "tests/standards/golden_signals.h"
#include "tests/standards/golden_table.h"

using namespace quietpass;
using namespace quietpass::dsp;

namespace {

struct Golden {
    std::size_t frame;
    double f0_hz;
    double hnr_db;
};

std::map<std::string, std::vector<Golden>> golden_pitches() {
    std::map<std::string, std::vector<Golden>> pitches;
    for (const auto& row : golden::read_table("pitch.csv")) {
        pitches[row[0]].push_back({std::stoul(row[1]), std::stod(row[2]), std::stod(row[3])});
    }
    return pitches;
}

bool is_recording(const std::string& signal) {
    return signal.find('/') != std::string::npos;
}

std::vector<float> read_recording(const std::string& name) {
    SF_INFO info{};
    SNDFILE* file = sf_open((std::string(RECORDINGS_FOLDER) + "/" + name).c_str(), SFM_READ, &info);
    REQUIRE(file != nullptr);
    REQUIRE(info.samplerate == 16000);
    REQUIRE(info.channels == 1);
    std::vector<float> samples(static_cast<std::size_t>(info.frames));
    REQUIRE(sf_readf_float(file, samples.data(), info.frames) == info.frames);
    sf_close(file);
    return samples;
}

struct Heard {
    std::vector<PitchFrame> frames;
    std::vector<PitchPoint> path;
};

Heard hear(const std::vector<float>& samples) {
    PowerSpectrum spectrum;
    PitchEstimator estimator;
    PitchPath path;
    std::vector<float> power(kBins);
    const std::vector<float> floor(kBins, 1e-12F);
    Heard heard;
    for (std::size_t start = 0; start + kFrameSize <= samples.size(); start += kHop) {
        spectrum.process({&samples[start], kFrameSize}, power);
        heard.frames.emplace_back();
        estimator.process(power, floor, heard.frames.back());
    }
    heard.path.resize(heard.frames.size());
    path.process(heard.frames, heard.path);
    return heard;
}

struct Agreement {
    double share = 0.0;      // of the golden frames whose f0 agrees
    double hnr_off_db = 0.0; // median of |difference| over the frames that agree
};

bool near(float f0_hz, const Golden& golden, double tolerance) {
    return std::abs(static_cast<double>(f0_hz) / golden.f0_hz - 1.0) < tolerance;
}

double hnr_difference(float periodicity, const Golden& golden) {
    const double hnr_db = harmonics_to_noise_db(static_cast<double>(periodicity));
    return std::abs(std::min(hnr_db, 25.0) - std::min(golden.hnr_db, 25.0));
}

Agreement summary(std::vector<double>& differences, std::size_t golden_count) {
    if (differences.empty()) return {};
    std::sort(differences.begin(), differences.end());
    return {static_cast<double>(differences.size()) / static_cast<double>(golden_count),
            differences[differences.size() / 2]};
}

Agreement compare_path(const Heard& heard, const std::vector<Golden>& pitches, double tolerance) {
    std::vector<double> differences;
    for (const Golden& golden : pitches) {
        const PitchPoint& point = heard.path.at(golden.frame);
        if (near(point.f0_hz, golden, tolerance))
            differences.push_back(hnr_difference(point.periodicity, golden));
    }
    return summary(differences, pitches.size());
}

// Whether any candidate agrees: praat leaps between octaves on these recordings where the path does not.
Agreement compare_candidates(const Heard& heard, const std::vector<Golden>& pitches, double tolerance) {
    std::vector<double> differences;
    for (const Golden& golden : pitches) {
        const PitchFrame& frame = heard.frames.at(golden.frame);
        for (std::size_t n = 0; n < frame.count; ++n) {
            if (!near(frame.candidates[n].f0_hz, golden, tolerance)) continue;
            differences.push_back(hnr_difference(frame.candidates[n].periodicity, golden));
            break;
        }
    }
    return summary(differences, pitches.size());
}

// The frames in which praat hears harmonics: more than 5 dB above the noise.
std::vector<Golden> harmonic(const std::vector<Golden>& pitches) {
    std::vector<Golden> kept;
    std::copy_if(pitches.begin(), pitches.end(), std::back_inserter(kept),
                 [](const Golden& golden) { return golden.hnr_db > 5.0; });
    return kept;
}

} // namespace

TEST_CASE(
    "f0 of synthetic calls equals praat's within one percent in 19 of 20 frames, harmonicity within 1.5 dB") {
    for (const auto& [signal, pitches] : golden_pitches()) {
        if (is_recording(signal)) continue;
        const Agreement agreement = compare_path(hear(golden::pitch_signal(signal)), pitches, 0.01);
        CAPTURE(signal, agreement.share, agreement.hnr_off_db);
        CHECK(agreement.share >= 0.95);
        CHECK(agreement.hnr_off_db < 1.5);
    }
}

TEST_CASE(
    "praat's f0 of real calls is among the candidates in four of five harmonic frames, as harmonic within "
    "1.5 dB") {
    for (const auto& [signal, pitches] : golden_pitches()) {
        if (!is_recording(signal)) continue;
        const Agreement agreement = compare_candidates(hear(read_recording(signal)), harmonic(pitches), 0.05);
        CAPTURE(signal, agreement.share, agreement.hnr_off_db);
        CHECK(agreement.share >= 0.8);
        CHECK(agreement.hnr_off_db < 2.0);
    }
}

TEST_CASE("on clear moos the path is praat's within three percent in nine of ten harmonic frames") {
    const auto pitches = golden_pitches();
    for (const char* signal :
         {"cattle/ESC-50-16k__1-81269-A-3.flac", "cattle/ESC-50-16k__2-104877-A-3.flac"}) {
        const Agreement agreement =
            compare_path(hear(read_recording(signal)), harmonic(pitches.at(signal)), 0.03);
        CAPTURE(signal, agreement.share, agreement.hnr_off_db);
        CHECK(agreement.share >= 0.9);
        CHECK(agreement.hnr_off_db < 1.5);
    }
}
