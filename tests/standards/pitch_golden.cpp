// f0 and harmonics-to-noise ratio against praat 6.3.07, To Pitch (ac) and To Harmonicity (ac), 50 … 2500 Hz
// (golden/pitch.csv, made by golden/make_golden.py). Ratios above 25 dB count as 25: there both only measure
// how the frame cuts the sound. The noise floor is not subtracted here, since praat does not either.
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
#include "tests/standards/recording.h"

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

std::string species_of(const std::string& signal) {
    return is_recording(signal) ? signal.substr(0, signal.find('/')) : "";
}

// A moo from 131 up to 200 Hz that praat puts at 65 … 399 Hz.
const char* const kPraatLeaps = "cattle/ESC-50-16k__3-160993-A-3.flac";

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

// How golden frames compare, of one signal or of several together.
struct Agreement {
    std::size_t golden = 0;
    std::vector<double> hnr_off_db; // |difference|, of the frames whose f0 agrees

    double share() const { return static_cast<double>(hnr_off_db.size()) / static_cast<double>(golden); }
    double median_off_db() const {
        if (hnr_off_db.empty()) return 0.0;
        std::vector<double> sorted = hnr_off_db;
        std::sort(sorted.begin(), sorted.end());
        return sorted[sorted.size() / 2];
    }
    void add(const Agreement& other) {
        golden += other.golden;
        hnr_off_db.insert(hnr_off_db.end(), other.hnr_off_db.begin(), other.hnr_off_db.end());
    }
};

bool near(float f0_hz, const Golden& golden, double tolerance) {
    return std::abs(static_cast<double>(f0_hz) / golden.f0_hz - 1.0) < tolerance;
}

double hnr_difference(float periodicity, const Golden& golden) {
    const double hnr_db = harmonics_to_noise_db(static_cast<double>(periodicity));
    return std::abs(std::min(hnr_db, 25.0) - std::min(golden.hnr_db, 25.0));
}

Agreement compare_path(const Heard& heard, const std::vector<Golden>& pitches, double tolerance) {
    Agreement agreement{pitches.size(), {}};
    for (const Golden& golden : pitches) {
        const PitchPoint& point = heard.path.at(golden.frame);
        if (near(point.f0_hz, golden, tolerance))
            agreement.hnr_off_db.push_back(hnr_difference(point.periodicity, golden));
    }
    return agreement;
}

// Whether any candidate agrees: praat leaps between octaves on these recordings where the path does not.
Agreement compare_candidates(const Heard& heard, const std::vector<Golden>& pitches, double tolerance) {
    Agreement agreement{pitches.size(), {}};
    for (const Golden& golden : pitches) {
        const PitchFrame& frame = heard.frames.at(golden.frame);
        for (std::size_t n = 0; n < frame.count; ++n) {
            if (!near(frame.candidates[n].f0_hz, golden, tolerance)) continue;
            agreement.hnr_off_db.push_back(hnr_difference(frame.candidates[n].periodicity, golden));
            break;
        }
    }
    return agreement;
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
        CAPTURE(signal, agreement.share(), agreement.median_off_db());
        CHECK(agreement.share() >= 0.95);
        CHECK(agreement.median_off_db() < 1.5);
    }
}

TEST_CASE(
    "praat's f0 of real calls is among the candidates in 17 of 20 harmonic frames of cattle, 16 of pigs, "
    "as harmonic within 1.5 and 2 dB") {
    std::map<std::string, Agreement> together; // by species
    for (const auto& [signal, pitches] : golden_pitches()) {
        if (!is_recording(signal)) continue;
        const Agreement agreement =
            compare_candidates(hear(golden::read_recording(signal)), harmonic(pitches), 0.05);
        together[species_of(signal)].add(agreement);
        // A handful of frames, as of squeals that are mostly noise, says nothing by itself.
        if (agreement.golden < 20) continue;
        const bool cattle = species_of(signal) == "cattle";
        CAPTURE(signal, agreement.share(), agreement.median_off_db());
        CHECK(agreement.share() >= (cattle ? 0.85 : 0.8));
        CHECK(agreement.median_off_db() < (cattle ? 1.5 : 2.0));
    }
    const Agreement& cattle = together["cattle"];
    CAPTURE(cattle.golden, cattle.share(), cattle.median_off_db());
    CHECK(cattle.golden > 800);
    CHECK(cattle.share() >= 0.95);
    CHECK(cattle.median_off_db() < 0.75);
    const Agreement& squeals = together["pig_squeal"];
    CAPTURE(squeals.golden, squeals.share(), squeals.median_off_db());
    CHECK(squeals.golden > 70);
    CHECK(squeals.share() >= 0.85);
    CHECK(squeals.median_off_db() < 2.0);
}

TEST_CASE("on moos the path is praat's within three percent in 17 of 20 harmonic frames of each, 18 of all") {
    Agreement together;
    for (const auto& [signal, pitches] : golden_pitches()) {
        if (species_of(signal) != "cattle" || signal == kPraatLeaps) continue;
        const Agreement agreement =
            compare_path(hear(golden::read_recording(signal)), harmonic(pitches), 0.03);
        CAPTURE(signal, agreement.share(), agreement.median_off_db());
        CHECK(agreement.share() >= 0.85);
        CHECK(agreement.median_off_db() < 1.5);
        together.add(agreement);
    }
    CHECK(together.golden > 700);
    CHECK(together.share() >= 0.92);
}

TEST_CASE(
    "where praat leaps between multiples and parts of a moo's pitch, the path is one of them and smooth") {
    const auto pitches = harmonic(golden_pitches().at(kPraatLeaps));
    const Heard heard = hear(golden::read_recording(kPraatLeaps));
    std::size_t voiced = 0;
    std::size_t whole = 0;
    std::size_t followed = 0;
    std::size_t smooth = 0;
    for (const Golden& golden : pitches) {
        const float f0_hz = heard.path.at(golden.frame).f0_hz;
        if (f0_hz <= 0.0F) continue;
        ++voiced;
        const double times =
            std::max(static_cast<double>(f0_hz) / golden.f0_hz, golden.f0_hz / static_cast<double>(f0_hz));
        if (std::abs(times / std::round(times) - 1.0) < 0.03) ++whole;
        const float next_hz = heard.path.at(golden.frame + 1).f0_hz;
        if (next_hz <= 0.0F) continue;
        ++followed;
        if (std::abs(std::log2(next_hz / f0_hz)) < 0.1F) ++smooth;
    }
    CAPTURE(pitches.size(), voiced, whole, followed, smooth);
    CHECK(10 * voiced >= 9 * pitches.size());
    CHECK(10 * whole >= 9 * voiced);
    CHECK(smooth == followed);
    CHECK(10 * followed >= 9 * voiced);
}
