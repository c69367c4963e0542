#include "classifiers/tuning/labelled_sound.h"

#include <algorithm>
#include <set>
#include <span>

#include "classifiers/sound_finder.h"

namespace quietpass::tuning {
namespace {

double overlap_s(double a, double b, const PlacedSpan& placed) {
    return std::max(0.0, std::min(b, placed.end_s) - std::max(a, placed.start_s));
}

std::int32_t passage_at(const std::vector<SimulatedPassage>& passages, double time_s) {
    for (std::size_t i = 0; i < passages.size(); ++i) {
        if (time_s >= passages[i].start_s && time_s < passages[i].end_s) return static_cast<std::int32_t>(i);
    }
    return -1;
}

bool is_it(double length_s, double shared_s, double placed_s) {
    return shared_s >= 0.5 * length_s || (shared_s >= 0.7 * placed_s && length_s < 3 * placed_s);
}

} // namespace

HeardStream hear(const SimulatedStream& stream, const SegmentSettings& settings) {
    HeardStream heard;
    heard.passages = stream.passages;
    std::set<std::size_t> found_calls;

    const auto label = [&](const Sound& sound) {
        LabelledSound out;
        out.measures = sound.measures;
        out.start_s = sound.start_s;
        out.end_s = sound.end_s;
        out.passage = passage_at(heard.passages, sound.voice_start_s);
        const double length_s = sound.end_s - sound.start_s;
        double call_s = 0.0;
        double grunt_s = 0.0;
        double ignore_s = 0.0;
        double most_other_s = 0.0;
        out.kind = "background";
        std::string call_recording;
        for (std::size_t i = 0; i < stream.placed.size(); ++i) {
            const PlacedSpan& placed = stream.placed[i];
            const double shared_s = overlap_s(sound.start_s, sound.end_s, placed);
            if (shared_s <= 0) continue;
            const double placed_s = placed.end_s - placed.start_s;
            switch (placed.label) {
                case SpanLabel::kCall:
                    call_s += shared_s;
                    if (is_it(length_s, shared_s, placed_s)) {
                        out.label = SpanLabel::kCall;
                        out.weight = static_cast<float>(std::clamp(shared_s / placed_s, 0.1, 1.0));
                        out.snr_db = placed.snr_db;
                        call_recording = placed.recording;
                        found_calls.insert(i);
                    }
                    break;
                case SpanLabel::kGrunt:
                    grunt_s += shared_s;
                    if (out.recording.empty()) out.recording = placed.recording;
                    break;
                case SpanLabel::kIgnore:
                    ignore_s += shared_s;
                    break;
                case SpanLabel::kOther:
                    if (shared_s > most_other_s) {
                        most_other_s = shared_s;
                        out.kind = placed.kind;
                        out.recording = placed.recording;
                    }
                    break;
            }
        }
        if (out.label == SpanLabel::kCall) {
            out.kind = "call";
            out.recording = call_recording;
        } else if (call_s > 0.05 * length_s || ignore_s > 0) {
            out.label = SpanLabel::kIgnore;
        } else if (grunt_s >= 0.5 * length_s) {
            out.label = SpanLabel::kGrunt;
            out.kind = "grunt";
        } else if (grunt_s > most_other_s) {
            out.kind = "grunt"; // in part; never a call either way
        }
        heard.sounds.push_back(std::move(out));
    };

    SoundFinder finder(kClipRateHz, settings);
    const std::span<const float> samples = stream.samples;
    constexpr std::size_t kBlock = 8000;
    Sound sound;
    for (std::size_t at = 0; at < samples.size(); at += kBlock) {
        finder.process(samples.subspan(at, std::min(kBlock, samples.size() - at)));
        while (finder.take(sound)) label(sound);
    }
    finder.finish();
    while (finder.take(sound)) label(sound);

    for (std::size_t i = 0; i < stream.placed.size(); ++i) {
        if (stream.placed[i].label != SpanLabel::kCall) continue;
        ++heard.calls;
        if (found_calls.contains(i)) ++heard.calls_found;
    }
    return heard;
}

} // namespace quietpass::tuning
