#include "daemon/tuning/clip_reader.h"

#include <samplerate.h>
#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "classifiers/tuning/active_spans.h"
#include "daemon/failure.h"

namespace quietpass {
namespace {

using tuning::SpanLabel;

constexpr sf_count_t kLongestFrames = 48000 * 600; // a clip, not a shift

std::vector<float> at_clip_rate(std::vector<float> samples, int rate_hz, const std::string& file) {
    if (rate_hz == static_cast<int>(tuning::kClipRateHz)) return samples;
    const double ratio = tuning::kClipRateHz / rate_hz;
    std::vector<float> out(static_cast<std::size_t>(std::ceil(static_cast<double>(samples.size()) * ratio)) +
                           16);
    SRC_DATA data{};
    data.data_in = samples.data();
    data.input_frames = static_cast<long>(samples.size());
    data.data_out = out.data();
    data.output_frames = static_cast<long>(out.size());
    data.src_ratio = ratio;
    const int error = src_simple(&data, SRC_SINC_MEDIUM_QUALITY, 1);
    if (error != 0) throw Failure(kExitFailure, file + ": can't be resampled: " + src_strerror(error));
    out.resize(static_cast<std::size_t>(data.output_frames_gen));
    return out;
}

using OpenFile = std::unique_ptr<SNDFILE, int (*)(SNDFILE*)>;

OpenFile open_audio(const std::string& file, SF_INFO& info) {
    OpenFile in(sf_open(file.c_str(), SFM_READ, &info), sf_close);
    if (!in) throw Failure(kExitFailure, file + ": can't be read as audio (" + sf_strerror(nullptr) + ")");
    return in;
}

// From where the file stands.
std::vector<float> read_mono(SNDFILE* in, const SF_INFO& info, sf_count_t frames, const std::string& file) {
    std::vector<float> all(static_cast<std::size_t>(frames * info.channels));
    const sf_count_t got = sf_readf_float(in, all.data(), frames);
    if (got <= 0) throw Failure(kExitFailure, file + ": holds no samples");
    std::vector<float> mono(static_cast<std::size_t>(got), 0.0F);
    const auto channels = static_cast<std::size_t>(info.channels);
    for (std::size_t i = 0; i < mono.size(); ++i) {
        for (std::size_t c = 0; c < channels; ++c)
            mono[i] += all[i * channels + c] / static_cast<float>(channels);
        if (!std::isfinite(mono[i])) throw Failure(kExitFailure, file + ": holds values that are no numbers");
    }
    return at_clip_rate(std::move(mono), info.samplerate, file);
}

std::vector<float> read_mono(const std::string& file) {
    SF_INFO info{};
    const OpenFile in = open_audio(file, info);
    return read_mono(in.get(), info, std::min(info.frames, kLongestFrames), file);
}

std::vector<tuning::Span> spans_of(const ManifestEntry& entry, const std::vector<float>& samples) {
    if (entry.kind == "pig_squeal" && !entry.squeals.empty()) return entry.squeals;
    if (entry.kind == "pig_squeal") return tuning::active_spans(samples, 400, 7500, SpanLabel::kCall);
    if (entry.kind == "cattle") return tuning::active_spans(samples, 60, 4000, SpanLabel::kCall);
    if (entry.kind == "pig_grunt") return tuning::active_spans(samples, 80, 4000, SpanLabel::kGrunt);
    return tuning::active_spans(samples, 60, 7500, SpanLabel::kOther);
}

} // namespace

std::vector<tuning::Clip> read_clips(const std::vector<ManifestEntry>& entries, const SpanLabels& labels,
                                     const std::function<void(std::size_t done)>& progress) {
    std::vector<tuning::Clip> clips;
    for (std::size_t i = 0; i < entries.size(); ++i) {
        progress(i);
        const ManifestEntry& entry = entries[i];
        if (entry.kind == "pig_other") continue;
        tuning::Clip clip;
        clip.path = entry.path;
        clip.kind = entry.kind;
        clip.recording = entry.recording;
        clip.fold = entry.fold;
        clip.samples = read_mono(entry.file.string());
        const auto labelled = labels.find(entry.path);
        clip.spans = labelled != labels.end() ? labelled->second : spans_of(entry, clip.samples);
        std::erase_if(clip.spans, [&](tuning::Span& span) {
            span.end_s = std::min(span.end_s, clip.length_s());
            return span.end_s - span.start_s < 0.05;
        });
        if (!clip.spans.empty()) clips.push_back(std::move(clip));
    }
    progress(entries.size());
    return clips;
}

std::vector<float> read_piece(const std::string& file, double start_s, double end_s) {
    SF_INFO info{};
    const OpenFile in = open_audio(file, info);
    const auto from = static_cast<sf_count_t>(std::max(0.0, start_s) * info.samplerate);
    const auto to = std::min(info.frames, static_cast<sf_count_t>(std::ceil(end_s * info.samplerate)));
    if (from >= to || sf_seek(in.get(), from, SEEK_SET) != from)
        throw Failure(kExitFailure, file + ": can't be read from " + std::to_string(start_s) + " s on");
    return read_mono(in.get(), info, std::min(to - from, kLongestFrames), file);
}

double length_of(const std::string& file) {
    SF_INFO info{};
    const OpenFile in = open_audio(file, info);
    return static_cast<double>(info.frames) / info.samplerate;
}

} // namespace quietpass
