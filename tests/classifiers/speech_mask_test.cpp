// What the mask leaves of speech, without a recogniser: the course of the level in bands, at the rates that
// carry words. Speech from which these courses were taken is not understood (Drullman, Festen and Plomp,
// J. Acoust. Soc. Am. 95 (1994) 1053, from memory). Needs the recordings: QUIETPASS_RECORDINGS, or
// ../shared/recordings beside the source folder; without them the test says so and passes.
#include "classifiers/speech_mask.h"

#include <sndfile.h>

#include <algorithm>
#include <bit>
#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "dsp/real_fft.h"
#include "tests/classifiers/signals.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

constexpr double kRateHz = 16000.0;
constexpr int kBands = 8; // 250 to 4,000 Hz, half an octave each

std::string recordings() {
    if (const char* folder = std::getenv("QUIETPASS_RECORDINGS")) return folder;
    return std::string(QUIETPASS_SOURCE_DIR) + "/../shared/recordings";
}

struct Track {
    double rate_hz = 0.0;
    Samples samples;
};

// The clips of each rate one after the other, cut where a track is long enough.
std::vector<Track> tracks_of(const std::string& kind, double at_least_s) {
    std::vector<std::filesystem::path> files;
    std::error_code ignored;
    for (const auto& entry : std::filesystem::directory_iterator(recordings() + "/" + kind, ignored))
        files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    std::vector<Track> tracks;
    std::map<int, Samples> begun;
    for (const auto& path : files) {
        SF_INFO info{};
        SNDFILE* file = sf_open(path.c_str(), SFM_READ, &info);
        if (file == nullptr) continue;
        std::vector<float> all(static_cast<std::size_t>(info.frames * info.channels));
        sf_readf_float(file, all.data(), info.frames);
        sf_close(file);
        if (info.channels != 1) continue;
        Samples& track = begun[info.samplerate];
        track.insert(track.end(), all.begin(), all.end());
        if (static_cast<double>(track.size()) < at_least_s * info.samplerate) continue;
        tracks.push_back({static_cast<double>(info.samplerate), track});
        track.clear();
    }
    return tracks;
}

using Bins = std::vector<std::complex<float>>;

// The signal of these frequencies, at the rate of `size` samples for all of it.
Samples between(const Bins& bins, double bin_hz, double from_hz, double to_hz, std::size_t size) {
    Bins kept(size / 2 + 1);
    for (std::size_t k = 0; k < kept.size(); ++k) {
        const double hz = static_cast<double>(k) * bin_hz;
        if (hz >= from_hz && hz < to_hz) kept[k] = bins[k];
    }
    Samples samples(size);
    dsp::RealFft(size).inverse(kept, samples);
    return samples;
}

// The course of the level of each band, 2 to 16 Hz of it.
std::vector<Samples> courses(Samples samples, double rate_hz) {
    const std::size_t count = samples.size();
    std::size_t size = std::bit_ceil(count);
    samples.resize(size, 0.0F);
    const double bin_hz = rate_hz / static_cast<double>(size);
    const double heard = static_cast<double>(count) / static_cast<double>(size);
    Bins bins(size / 2 + 1);
    dsp::RealFft(size).forward(samples, bins);
    while (bin_hz * static_cast<double>(size) / 2.0 >= 8000.0) size /= 2;
    dsp::RealFft fft(size);
    Bins levels(fft.bins());
    std::vector<Samples> all;
    for (int band = 0; band < kBands; ++band) {
        const double from_hz = 250.0 * std::pow(2.0, 0.5 * band);
        Samples level = between(bins, bin_hz, from_hz, from_hz * std::sqrt(2.0), size);
        for (float& x : level) x = std::abs(x);
        fft.forward(level, levels);
        Samples course = between(levels, bin_hz, 2.0, 16.0, size);
        // Without the ends, where both signals come out of silence.
        const double rate = bin_hz * static_cast<double>(size);
        const auto end = static_cast<std::ptrdiff_t>(0.3 * rate);
        course.resize(static_cast<std::size_t>(heard * static_cast<double>(size)));
        all.emplace_back(course.begin() + end, course.end() - end);
    }
    return all;
}

double correlation(const Samples& a, const Samples& b) {
    double ab = 0.0;
    double aa = 0.0;
    double bb = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        ab += static_cast<double>(a[i]) * b[i];
        aa += static_cast<double>(a[i]) * a[i];
        bb += static_cast<double>(b[i]) * b[i];
    }
    return aa > 0.0 && bb > 0.0 ? ab / std::sqrt(aa * bb) : 0.0;
}

// Mean over the bands of how the courses of two signals go together.
double likeness(const std::vector<Samples>& a, const std::vector<Samples>& b) {
    double sum = 0.0;
    for (std::size_t band = 0; band < a.size(); ++band) sum += correlation(a[band], b[band]);
    return sum / kBands;
}

Samples part(const Samples& samples, double from_s, double to_s, double rate_hz = kRateHz) {
    const auto from = static_cast<std::ptrdiff_t>(from_s * rate_hz);
    const auto to =
        std::min(static_cast<std::ptrdiff_t>(to_s * rate_hz), static_cast<std::ptrdiff_t>(samples.size()));
    return {samples.begin() + from, samples.begin() + to};
}

double level_db(const Samples& samples) {
    double power = 1e-12;
    for (const float x : samples) power += static_cast<double>(x) * x / static_cast<double>(samples.size());
    return 10.0 * std::log10(power);
}

} // namespace

TEST_CASE("Of real speech outside the call no course of levels is left that carries words") {
    for (const char* kind : {"speech", "shout"}) {
        const std::vector<Track> tracks = tracks_of(kind, 5.0);
        if (tracks.empty()) {
            WARN("no recordings of " << kind << " in " << recordings() << ": skipped");
            continue;
        }
        double sum = 0.0;
        double highest = -1.0;
        double lowest_in_noise = 1.0;
        for (const auto& [rate_hz, track] : tracks) {
            const double call_s = static_cast<double>(track.size()) / rate_hz - 0.8;
            const CallSpan call{call_s, call_s + 0.5};
            const Samples masked = with_speech_masked(track, rate_hz, std::vector{call});
            // Up to the fade before the call.
            const double until_s = call_s - kMaskFadeS;
            const Samples before = part(track, 0.0, until_s, rate_hz);
            const std::vector<Samples> of_speech = courses(before, rate_hz);
            const double like = likeness(of_speech, courses(part(masked, 0.0, until_s, rate_hz), rate_hz));
            sum += like;
            highest = std::max(highest, like);
            // The measure must see speech where there is some: noise as loud as it hides little.
            Samples in_noise = before;
            const Samples hiss = noise(rate_hz, until_s + 0.1, std::pow(10.0, level_db(before) / 20.0), 7);
            for (std::size_t i = 0; i < in_noise.size(); ++i) in_noise[i] += hiss[i];
            lowest_in_noise = std::min(lowest_in_noise, likeness(of_speech, courses(in_noise, rate_hz)));
            CHECK(like < 0.15);
            // The call is what it was, bit for bit.
            CHECK(part(track, call.start_s, call.end_s, rate_hz) ==
                  part(masked, call.start_s, call.end_s, rate_hz));
        }
        const double mean = sum / static_cast<double>(tracks.size());
        std::printf(
            "speech mask, %s: %zu tracks, correlation of 2-16 Hz levels in 8 bands 250-4000 Hz: mean "
            "%.3f, highest of a track %.3f; with noise as loud as the speech, lowest %.3f\n",
            kind, tracks.size(), mean, highest, lowest_in_noise);
        CHECK(std::abs(mean) < 0.05);
        CHECK(lowest_in_noise > 0.3);
    }
}

TEST_CASE("The calls of a clip stay bit for bit, several, over the ends and all of it") {
    const Samples clip = voice(kRateHz, 3.0, 0.1, [](double x) { return 140.0 + 40.0 * x; });
    const std::vector<CallSpan> calls = {{-0.2, 0.3}, {1.0, 1.02}, {1.5, 1.9}, {1.7, 2.1}, {2.9, 9.0}};
    const Samples masked = with_speech_masked(clip, kRateHz, calls);
    REQUIRE(masked.size() == clip.size());
    for (std::size_t i = 0; i < clip.size(); ++i) {
        const double at_s = static_cast<double>(i) / kRateHz;
        for (const CallSpan& call : calls) {
            if (at_s >= call.start_s && at_s < call.end_s) REQUIRE(masked[i] == clip[i]);
        }
    }
    CHECK(correlation(part(clip, 2.2, 2.8), part(masked, 2.2, 2.8)) < 0.1);
    CHECK(with_speech_masked(clip, kRateHz, std::vector<CallSpan>{{0.0, 3.0}}) == clip);
    CHECK(with_speech_masked({}, kRateHz, {}).empty());
}

TEST_CASE("How loud it was over half a second and more is still heard") {
    // Two seconds soft, two loud, two soft again, 20 dB apart; a call of 26 dB more at 4.5 s.
    Samples clip = pink(kRateHz, 6.5, 0.01);
    for (std::size_t i = 32000; i < 64000; ++i) clip[i] *= 10.0F;
    const Samples call = voice(kRateHz, 0.5, 0.2, [](double) { return 150.0; });
    add(clip, call, kRateHz, 5.5);
    const Samples masked = with_speech_masked(clip, kRateHz, std::vector<CallSpan>{{5.5, 6.0}});
    for (const double at_s : {0.5, 2.7, 4.7}) {
        CHECK(level_db(part(masked, at_s, at_s + 0.6)) ==
              Approx(level_db(part(clip, at_s, at_s + 0.6))).margin(2.0));
    }
    // The call's energy is in no average: beside it it is as soft as before it.
    CHECK(level_db(part(masked, 5.2, 5.4)) == Approx(level_db(part(clip, 5.2, 5.4))).margin(3.0));
}

TEST_CASE("The fade lies outside of the call and is too short for a word") {
    const Samples clip = voice(kRateHz, 2.0, 0.1, [](double) { return 150.0; });
    const Samples masked = with_speech_masked(clip, kRateHz, std::vector<CallSpan>{{1.0, 1.5}});
    // At the call's edge nearly the clip itself, a fade away nothing of it.
    const auto edge = static_cast<std::size_t>(kRateHz) - 1;
    CHECK(masked[edge] == Approx(clip[edge]).margin(0.02));
    CHECK(std::abs(correlation(part(clip, 0.5, 0.97), part(masked, 0.5, 0.97))) < 0.1);
}
