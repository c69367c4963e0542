#include "dsp/pitch.h"

#include <catch2/catch.hpp>
#include <stdexcept>

#include "dsp/framer.h"
#include "dsp/noise_floor.h"
#include "dsp/pitch_path.h"
#include "dsp/power_spectrum.h"
#include "tests/dsp/signals.h"

using namespace quietpass;
using namespace quietpass::dsp;

namespace {

constexpr auto kPitchSecond = static_cast<std::size_t>(kAnalysisRateHz);

// Noise for `rest_s` seconds, in which the floor settles, then one second of a call in the same noise;
// returns the pitch frames of that second.
std::vector<PitchFrame> hear(const std::vector<float>& call, double noise_deviation,
                             std::size_t rest_s = 11) {
    std::vector<float> audio = signals::noise(rest_s * kPitchSecond + call.size(), noise_deviation);
    for (std::size_t n = 0; n < call.size(); ++n) audio[rest_s * kPitchSecond + n] += call[n];
    Framer framer(kFrameSize, kHop);
    PowerSpectrum spectrum;
    NoiseFloor floor;
    PitchEstimator estimator;
    std::vector<float> power(kBins);
    std::vector<PitchFrame> frames;
    std::span<const float> rest(audio);
    while (framer.next(rest)) {
        spectrum.process(framer.frame(), power);
        floor.process(power);
        if ((framer.count() - 1) * kHop < rest_s * kPitchSecond) continue;
        frames.emplace_back();
        estimator.process(power, floor.floor(), frames.back());
    }
    return frames;
}

double share_near(const std::vector<PitchPoint>& points, double f0_hz, double tolerance) {
    double near = 0.0;
    for (const PitchPoint& point : points) {
        if (std::abs(static_cast<double>(point.f0_hz) / f0_hz - 1.0) < tolerance) near += 1.0;
    }
    return near / static_cast<double>(points.size());
}

std::vector<PitchPoint> path_of(const std::vector<PitchFrame>& frames) {
    PitchPath path;
    std::vector<PitchPoint> points(frames.size());
    path.process(frames, points);
    return points;
}

PitchFrame frame_with(std::initializer_list<PitchCandidate> candidates) {
    PitchFrame frame;
    for (const PitchCandidate& candidate : candidates) frame.candidates[frame.count++] = candidate;
    return frame;
}

} // namespace

TEST_CASE("in quiet every pitch from a bellow to a squeal is found in every frame within half a percent") {
    // Cow low and high call 81 and 153 Hz (from memory of a 2015 study), crushed and restrained piglets 524
    // and 1,215 Hz (PMC6115786), bull bellow 113.6 and bugle 958 Hz (published maxima); the rest computed to
    // fill the range.
    const double f0 = GENERATE(55.0, 81.0, 113.6, 153.0, 300.0, 524.0, 958.0, 1215.0, 2000.0, 2400.0);
    CAPTURE(f0);
    const std::vector<PitchFrame> frames = hear(signals::call(f0, kPitchSecond, 0.1), 1e-5);
    for (const PitchFrame& frame : frames) {
        REQUIRE(frame.count > 0);
        REQUIRE(static_cast<double>(frame.candidates[0].f0_hz) == Approx(f0).epsilon(0.005));
        REQUIRE(frame.candidates[0].periodicity > 0.95F);
    }
}

TEST_CASE("at 5 dB in white noise the path keeps to the call in nearly all frames") {
    const double f0 = GENERATE(60.0, 81.0, 113.6, 153.0, 300.0, 524.0, 958.0, 1215.0, 2000.0);
    CAPTURE(f0);
    const std::vector<float> call = signals::call(f0, kPitchSecond, 0.1);
    const double deviation = std::sqrt(signals::mean_square(call) / std::pow(10.0, 0.5));
    CHECK(share_near(path_of(hear(call, deviation)), f0, 0.02) > 0.95);
}

TEST_CASE("noise alone seldom has a pitch") {
    const std::vector<PitchPoint> points = path_of(hear(std::vector<float>(5 * kPitchSecond, 0.0F), 0.05));
    double voiced = 0.0;
    for (std::size_t n = 0; n < points.size(); ++n) voiced += points[n].f0_hz > 0.0F ? 1.0 : 0.0;
    CHECK(voiced / static_cast<double>(points.size()) < 0.03);
}

TEST_CASE("candidates come strongest first, within the range, with strengths and periodicities of 0 to 1") {
    const std::vector<PitchFrame> frames = hear(signals::call(140.0, kPitchSecond, 0.1, 0.1), 0.05);
    for (const PitchFrame& frame : frames) {
        for (std::size_t n = 0; n < frame.count; ++n) {
            const PitchCandidate& candidate = frame.candidates[n];
            if (n > 0) REQUIRE(candidate.strength <= frame.candidates[n - 1].strength);
            REQUIRE(candidate.f0_hz > 48.0F);
            REQUIRE(candidate.f0_hz < 2580.0F);
            REQUIRE((candidate.strength >= 0.0F && candidate.strength <= 1.0F));
            REQUIRE((candidate.periodicity >= 0.0F && candidate.periodicity <= 1.0F));
        }
    }
}

TEST_CASE("silence has no candidates") {
    PitchEstimator estimator;
    PitchFrame found;
    found.count = 3;
    estimator.process(std::vector<float>(kBins, 0.0F), std::vector<float>(kBins, 1e-12F), found);
    CHECK(found.count == 0);
    estimator.process(std::vector<float>(kBins, 1e-4F), std::vector<float>(kBins, 1e-4F), found);
    CHECK(found.count == 0);
}

TEST_CASE("a frame whose octave is stronger for a moment does not turn the path") {
    std::vector<PitchFrame> frames(20, frame_with({{150.0F, 0.7F, 0.9F}, {75.0F, 0.4F, 0.9F}}));
    frames[9] = frame_with({{75.0F, 0.8F, 0.9F}, {150.0F, 0.6F, 0.9F}});
    frames[10] = frames[9];
    const std::vector<PitchPoint> points = path_of(frames);
    for (const PitchPoint& point : points) CHECK(point.f0_hz == 150.0F);
}

TEST_CASE("a pitch that is weak for a frame or two is bridged and one that stays away is not") {
    std::vector<PitchFrame> frames(60, frame_with({{150.0F, 0.7F, 0.9F}}));
    frames[9] = frame_with({{150.0F, 0.1F, 0.2F}});
    for (std::size_t n = 30; n < 60; ++n) frames[n] = frame_with({{150.0F, 0.1F, 0.2F}});
    const std::vector<PitchPoint> points = path_of(frames);
    CHECK(points[9].f0_hz == 150.0F);
    CHECK(points[29].f0_hz == 150.0F);
    CHECK(points[40].f0_hz == 0.0F);
}

TEST_CASE("a path of no frames, of empty frames and of too many frames ends well") {
    CHECK(path_of({}).empty());
    for (const PitchPoint& point : path_of(std::vector<PitchFrame>(5))) CHECK(point.f0_hz == 0.0F);
    const auto points = path_of(std::vector<PitchFrame>(600, frame_with({{150.0F, 0.7F, 0.9F}})));
    CHECK(points[511].f0_hz == 150.0F);
    CHECK(points[512].f0_hz == 0.0F);
}

TEST_CASE("harmonics-to-noise of a periodicity follows Boersma's definition") {
    CHECK(harmonics_to_noise_db(0.5) == Approx(0.0));
    CHECK(harmonics_to_noise_db(0.99) == Approx(19.956).margin(0.001)); // computed from 10·log10(r/(1−r))
    CHECK(harmonics_to_noise_db(0.0) == Approx(-40.0).margin(0.01));
    CHECK(harmonics_to_noise_db(1.0) == Approx(40.0).margin(0.01));
}

TEST_CASE("ranges that the frame can't resolve are refused") {
    CHECK_THROWS_AS(PitchEstimator(1024, 16000.0, {.lowest_hz = 20.0}), std::invalid_argument);
    CHECK_THROWS_AS(PitchEstimator(1024, 16000.0, {.highest_hz = 5000.0}), std::invalid_argument);
    CHECK_THROWS_AS(PitchEstimator(1000, 16000.0), std::invalid_argument);
}
