// The voice's path (classifiers/voice_tracker.h) against praat 6.3.07, To Pitch (ac), on real moos
// (golden/pitch.csv, made by golden/make_golden.py), frame by frame where praat hears more than 5 dB of
// harmonics. The path's spectra are means over 80 ms and its grid is 1.5 % wide.
#include <catch2/catch.hpp>

#include <cmath>
#include <cstddef>
#include <map>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "classifiers/frame_history.h"
#include "classifiers/segment_settings.h"
#include "classifiers/sound_frames.h"
#include "classifiers/voice_tracker.h"
#include "dsp/power_spectrum.h"
#include "tests/standards/golden_table.h"
#include "tests/standards/recording.h"

using namespace quietpass;

namespace {

constexpr std::size_t kLead = 125; // frames of faint noise before and after

// A moo from 131 up to 200 Hz that praat puts at 65 … 399 Hz.
const char* const kPraatLeaps = "cattle/ESC-50-16k__3-160993-A-3.flac";

std::map<std::string, std::vector<std::pair<std::size_t, double>>> harmonic_pitches(
    const std::string& folder) {
    std::map<std::string, std::vector<std::pair<std::size_t, double>>> out;
    for (const auto& row : golden::read_table("pitch.csv")) {
        if (row[0].rfind(folder + "/", 0) == 0 && std::stod(row[3]) > 5.0)
            out[row[0]].emplace_back(std::stoul(row[1]), std::stod(row[2]));
    }
    return out;
}

std::vector<float> path_of(const std::vector<float>& recording) {
    std::minstd_rand random(1);
    std::uniform_real_distribution<float> faint(-1e-3F, 1e-3F);
    std::vector<float> samples(recording.size() + 2 * kLead * dsp::kHop);
    for (float& sample : samples) sample = faint(random);
    for (std::size_t i = 0; i < recording.size(); ++i) samples[i + kLead * dsp::kHop] += recording[i];

    const std::size_t count = (samples.size() - dsp::kFrameSize) / dsp::kHop + 1;
    FrameHistory history(count);
    dsp::PowerSpectrum spectrum;
    std::vector<float> floor(dsp::kBins, 0.0F);
    for (std::size_t i = 0; i < count; ++i) {
        const auto power = history.next_power();
        spectrum.process({&samples[i * dsp::kHop], dsp::kFrameSize}, power);
        constexpr std::size_t kQuiet = 100;
        for (std::size_t k = 0; i < kQuiet && k < dsp::kBins; ++k) floor[k] += power[k] / kQuiet;
        history.next_quarters() = {1.0F, 1.0F, 1.0F, 1.0F};
        history.push();
    }
    for (std::size_t i = 0; i < count; ++i) history.replace_floor(static_cast<FrameIndex>(i), floor);
    SoundFrames frames;
    frames.load(history, {kLead, static_cast<FrameIndex>(count - kLead) - 1});
    const SegmentSettings settings;
    VoiceTracker tracker(settings.f0_low_hz, settings.f0_high_hz);
    tracker.process(frames);
    return {tracker.f0_hz().begin(), tracker.f0_hz().end()};
}

} // namespace

TEST_CASE("on moos the voice's path is praat's within 5 % in 17 of 20 harmonic frames") {
    std::size_t recordings = 0;
    std::size_t all = 0;
    std::size_t near = 0;
    for (const auto& [name, pitches] : harmonic_pitches("cattle")) {
        if (name == kPraatLeaps) continue;
        const std::vector<float> path = path_of(golden::read_recording(name));
        std::size_t here = 0;
        for (const auto& [frame, f0_hz] : pitches) {
            if (frame < path.size() && std::abs(static_cast<double>(path[frame]) / f0_hz - 1.0) < 0.05)
                ++here;
        }
        UNSCOPED_INFO(name << ": " << here << " of " << pitches.size());
        ++recordings;
        all += pitches.size();
        near += here;
    }
    CHECK(recordings >= 10);
    CHECK(all > 700);
    CHECK(static_cast<double>(near) >= 0.85 * static_cast<double>(all));
}
