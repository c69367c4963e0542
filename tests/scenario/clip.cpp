#include "tests/scenario/clip.h"

#include <samplerate.h>
#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "daemon/failure.h"
#include "tests/scenario/filters.h"

namespace quietpass::scenario {

namespace {

constexpr double kStep_s = 0.02;
constexpr double kUnderHighest_db = 18.0;
constexpr double kOverQuiet_db = 6.0;
constexpr double kWeakPart_db = 10.0; // a part whose loudest step is this far under the clip's is left out
constexpr double kJoin_s = 0.25;
constexpr double kShortest_s = 0.25;
constexpr double kLongest_s = 6.0;
constexpr double kFade_s = 0.01;

std::vector<double> band_levels_db(const Clip& clip, double low_hz, double high_hz) {
    const double rate = clip.sample_rate_hz;
    BandFilter band(rate, low_hz, std::min(high_hz, 0.45 * rate));
    const std::size_t step = static_cast<std::size_t>(kStep_s * rate);
    std::vector<double> levels;
    for (std::size_t at = 0; at + step <= clip.samples.size(); at += step) {
        const double energy = band.energy(std::span(clip.samples).subspan(at, step));
        levels.push_back(10.0 * std::log10(energy / static_cast<double>(step) + 1e-12));
    }
    return levels;
}

std::vector<ClipPart> active_parts(const Clip& clip, double low_hz, double high_hz) {
    const std::vector<double> levels = band_levels_db(clip, low_hz, high_hz);
    if (levels.empty()) return {};
    std::vector<double> sorted = levels;
    std::sort(sorted.begin(), sorted.end());
    const double highest = sorted.back();
    const double floor = std::max(highest - kUnderHighest_db, sorted[sorted.size() / 10] + kOverQuiet_db);
    std::vector<ClipPart> parts;
    std::vector<double> loudest;
    for (std::size_t i = 0; i < levels.size(); ++i) {
        if (levels[i] < floor) continue;
        const double at = static_cast<double>(i) * kStep_s;
        if (parts.empty() || at - parts.back().end_s >= kJoin_s) {
            parts.push_back({at, at});
            loudest.push_back(levels[i]);
        }
        parts.back().end_s = at + kStep_s;
        loudest.back() = std::max(loudest.back(), levels[i]);
    }
    std::vector<ClipPart> kept;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        if (loudest[i] < highest - kWeakPart_db || parts[i].length_s() < kShortest_s) continue;
        kept.push_back({parts[i].start_s, std::min(parts[i].end_s, parts[i].start_s + kLongest_s)});
    }
    return kept;
}

} // namespace

Clip load_clip(const std::string& path, const std::string& recording, const std::vector<ClipPart>& known,
               double low_hz, double high_hz) {
    SF_INFO info{};
    SNDFILE* file = sf_open(path.c_str(), SFM_READ, &info);
    if (file == nullptr) {
        throw Failure(kExitFailure,
                      path + ": can't be read (" + sf_strerror(nullptr) + "): check the manifest");
    }
    std::vector<float> frames(static_cast<std::size_t>(info.frames * info.channels));
    const sf_count_t read = sf_readf_float(file, frames.data(), info.frames);
    sf_close(file);
    Clip clip;
    clip.recording = recording;
    clip.path = path;
    clip.sample_rate_hz = info.samplerate;
    clip.samples.resize(static_cast<std::size_t>(std::max<sf_count_t>(read, 0)));
    const std::size_t channels = static_cast<std::size_t>(info.channels);
    for (std::size_t i = 0; i < clip.samples.size(); ++i) {
        float sum = 0.0F;
        for (std::size_t c = 0; c < channels; ++c) sum += frames[i * channels + c];
        clip.samples[i] = sum / static_cast<float>(channels);
    }
    const double length_s = static_cast<double>(clip.samples.size()) / clip.sample_rate_hz;
    for (ClipPart part : known) {
        part.end_s = std::min({part.end_s, length_s, part.start_s + kLongest_s});
        if (part.length_s() >= kShortest_s) clip.parts.push_back(part);
    }
    if (clip.parts.empty()) clip.parts = active_parts(clip, low_hz, high_hz);
    if (clip.parts.empty()) clip.parts.push_back({0.0, std::min(length_s, kLongest_s)});
    if (length_s < 0.02) throw Failure(kExitFailure, path + ": holds no sound: take it out of the manifest");
    return clip;
}

std::vector<float> part_at_rate(const Clip& clip, const ClipPart& part, int sample_rate_hz) {
    const double from_rate = clip.sample_rate_hz;
    const std::size_t first = static_cast<std::size_t>(part.start_s * from_rate);
    const std::size_t last = std::min(clip.samples.size(), static_cast<std::size_t>(part.end_s * from_rate));
    std::vector<float> out(clip.samples.begin() + static_cast<std::ptrdiff_t>(first),
                           clip.samples.begin() + static_cast<std::ptrdiff_t>(last));
    if (sample_rate_hz != clip.sample_rate_hz) {
        const double ratio = sample_rate_hz / from_rate;
        std::vector<float> converted(static_cast<std::size_t>(static_cast<double>(out.size()) * ratio) + 16);
        SRC_DATA data{};
        data.data_in = out.data();
        data.input_frames = static_cast<long>(out.size());
        data.data_out = converted.data();
        data.output_frames = static_cast<long>(converted.size());
        data.src_ratio = ratio;
        if (src_simple(&data, SRC_SINC_MEDIUM_QUALITY, 1) != 0) {
            throw Failure(kExitFailure, clip.path + ": can't be brought to " +
                                            std::to_string(sample_rate_hz) + " Hz: choose another rate");
        }
        converted.resize(static_cast<std::size_t>(data.output_frames_gen));
        out = std::move(converted);
    }
    const std::size_t fade = std::min(out.size() / 2, static_cast<std::size_t>(kFade_s * sample_rate_hz));
    for (std::size_t i = 0; i < fade; ++i) {
        const double share = (static_cast<double>(i) + 0.5) / static_cast<double>(fade);
        const float gain = static_cast<float>(0.5 - 0.5 * std::cos(std::numbers::pi * share));
        out[i] *= gain;
        out[out.size() - 1 - i] *= gain;
    }
    return out;
}

} // namespace quietpass::scenario
