// Clips and sounds made up for the tests of training: a harmonic glide that passes for a call, bursts that
// don't.
#pragma once

#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "classifiers/tuning/clip.h"
#include "classifiers/tuning/heard_corpus.h"
#include "classifiers/tuning/random.h"

namespace quietpass::tuning {

inline Clip made_call(const std::string& kind, double f0_hz, int number) {
    Clip clip;
    clip.kind = kind;
    clip.recording = kind + std::to_string(number);
    clip.path = kind + "/" + clip.recording + ".wav";
    clip.samples.resize(static_cast<std::size_t>(1.2 * kClipRateHz));
    double phase = 0.0;
    for (std::size_t i = 0; i < clip.samples.size(); ++i) {
        const double t = static_cast<double>(i) / kClipRateHz;
        const double arch = std::sin(std::numbers::pi * t / 1.2);
        phase += 2 * std::numbers::pi * f0_hz * (1 + 0.25 * arch) / kClipRateHz;
        double sum = 0.0;
        for (int h = 1; h <= 10; ++h) sum += std::sin(h * phase) / h;
        clip.samples[i] = static_cast<float>(0.2 * arch * sum);
    }
    clip.spans = {{0.05, 1.15, SpanLabel::kCall}};
    return clip;
}

inline Clip made_burst(const std::string& kind, int number) {
    Random random(static_cast<std::uint64_t>(number));
    Clip clip;
    clip.kind = kind;
    clip.recording = kind + std::to_string(number);
    clip.path = kind + "/" + clip.recording + ".wav";
    clip.samples.resize(static_cast<std::size_t>(0.5 * kClipRateHz));
    for (std::size_t i = 0; i < clip.samples.size(); ++i) {
        clip.samples[i] = random.white() * std::exp(-static_cast<float>(i) / 1500.0F);
    }
    clip.spans = {{0.0, 0.4, SpanLabel::kOther}};
    return clip;
}

// Sounds without audio: calls have a long pitch run and high harmonicity more often than the others.
inline std::vector<CorpusStream> made_streams(int folds, std::uint64_t seed) {
    Random random(seed);
    std::vector<CorpusStream> streams;
    for (int fold = 0; fold < folds; ++fold) {
        CorpusStream stream;
        stream.fold = fold;
        stream.plan.snr_db = 5;
        for (int p = 0; p < 120; ++p) {
            const double start_s = 30.0 * p;
            const bool vocal = p % 3 == 0;
            stream.heard.passages.push_back({start_s, start_s + 30, vocal, 5.0});
            for (int s = 0; s < 6; ++s) {
                LabelledSound sound;
                const bool call = vocal && s == 0;
                for (float& value : sound.measures) value = static_cast<float>(random.between(0, 1));
                sound.measures[kDurationS] = static_cast<float>(random.between(0.3, 2));
                sound.measures[kVoiceS] = static_cast<float>(random.between(0, call ? 1.5 : 0.6));
                sound.measures[kVoiceTone] =
                    static_cast<float>(random.between(call ? 3 : 0, call ? 15 : 9));
                sound.label = call ? SpanLabel::kCall : SpanLabel::kOther;
                sound.kind = call ? "call" : "metal";
                sound.recording = std::string("r").append(std::to_string(p % 7));
                sound.start_s = start_s + 4 * s;
                sound.end_s = sound.start_s + 1;
                sound.passage = p;
                sound.fold = fold;
                sound.snr_db = 5;
                stream.heard.sounds.push_back(sound);
            }
        }
        stream.heard.calls = 40;
        stream.heard.calls_found = 40;
        streams.push_back(stream);
    }
    return streams;
}

} // namespace quietpass::tuning
