// What the whole hearing of one channel costs, from 48 kHz samples to judged calls, on plant-like audio and
// on its background alone, and where the time goes. Ratios: cost_table.h.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "classifiers/ear.h"
#include "classifiers/frame_history.h"
#include "classifiers/level_detector.h"
#include "classifiers/sound_finder.h"
#include "classifiers/sound_measures.h"
#include "classifiers/tone_detector.h"
#include "classifiers/whitened_frame.h"
#include "daemon/health/microphone_watch.h"
#include "daemon/profile_file.h"
#include "dsp/noise_floor.h"
#include "dsp/resampler.h"
#include "dsp/spectrum_stream.h"
#include "tests/bench/cost_table.h"
#include "tests/bench/plant_audio.h"

namespace {

using namespace quietpass;
using namespace quietpass::bench;

constexpr std::size_t kBlock = 4800; // 0.1 s, as a device gives it

// What each stage is given: the output of those before it, made once.
struct Inputs {
    Inputs(const std::vector<float>& audio_48k, const Profile& hearing);

    double seconds() const { return static_cast<double>(audio.size()) / kRate_hz; }

    const std::vector<float>& audio;
    const Profile& profile;
    std::vector<float> samples; // 16 kHz
    std::unique_ptr<FrameHistory> frames;
    std::vector<Span> sounds;
    std::size_t calls = 0;
    double sounds_s = 0.0;
};

template <class Hearing>
void feed(Hearing& hearing, const std::vector<float>& audio) {
    for (std::size_t at = 0; at < audio.size(); at += kBlock)
        hearing.process({&audio[at], std::min(kBlock, audio.size() - at)});
}

Inputs::Inputs(const std::vector<float>& audio_48k, const Profile& hearing)
    : audio(audio_48k), profile(hearing) {
    dsp::Resampler resampler(kRate_hz);
    samples.resize(resampler.max_output(audio.size()));
    samples.resize(resampler.process(audio, samples));

    frames = std::make_unique<FrameHistory>(samples.size() / dsp::kHop + 1);
    dsp::SpectrumStream spectra;
    dsp::NoiseFloor floor;
    std::span<const float> rest = samples;
    while (spectra.next(rest)) {
        for (std::size_t i = 0; i < spectra.count(); ++i) {
            floor.process(spectra.power(i));
            std::ranges::copy(spectra.power(i), frames->next_power().begin());
            std::ranges::copy(floor.floor(), frames->next_floor().begin());
            frames->next_quarters().fill(1e-6F);
            frames->push();
        }
    }

    Ear ear(kRate_hz, profile);
    SoundFinder finder(kRate_hz, profile.segments);
    const auto take = [&] {
        HeardCall call;
        while (ear.take(call)) ++calls;
        Sound sound;
        while (finder.take(sound)) {
            const auto frame_at = [](double time_s) {
                return static_cast<FrameIndex>(
                    std::lround((time_s - dsp::frame_time_s(0)) * dsp::kFrameRateHz));
            };
            Span span;
            span.first = std::max<FrameIndex>(0, frame_at(sound.start_s));
            span.last = std::min(frames->count() - 1, frame_at(sound.end_s));
            sounds.push_back(span);
            sounds_s += sound.end_s - sound.start_s;
        }
    };
    for (std::size_t at = 0; at < audio.size(); at += kBlock) {
        const std::span<const float> block(&audio[at], std::min(kBlock, audio.size() - at));
        ear.process(block);
        finder.process(block);
        take();
    }
    ear.finish();
    finder.finish();
    take();
}

Stage hearing(const Inputs& in) {
    return [&in] {
        Ear ear(kRate_hz, in.profile);
        HeardCall call;
        for (std::size_t at = 0; at < in.audio.size(); at += kBlock) {
            ear.process({&in.audio[at], std::min(kBlock, in.audio.size() - at)});
            while (ear.take(call)) benchmark::DoNotOptimize(call.score);
        }
        ear.finish();
    };
}

Stage finding(const Inputs& in) {
    return [&in] {
        SoundFinder finder(kRate_hz, in.profile.segments);
        Sound sound;
        for (std::size_t at = 0; at < in.audio.size(); at += kBlock) {
            finder.process({&in.audio[at], std::min(kBlock, in.audio.size() - at)});
            while (finder.take(sound)) benchmark::DoNotOptimize(sound.level_db);
        }
        finder.finish();
    };
}

Stage resampling(const Inputs& in) {
    auto resampler = std::make_shared<dsp::Resampler>(kRate_hz);
    auto out = std::make_shared<std::vector<float>>(resampler->max_output(kBlock));
    return [=, &in] {
        for (std::size_t at = 0; at + kBlock <= in.audio.size(); at += kBlock)
            benchmark::DoNotOptimize(resampler->process({&in.audio[at], kBlock}, *out));
    };
}

Stage framing_and_spectrum(const Inputs& in) {
    auto spectra = std::make_shared<dsp::SpectrumStream>();
    return [=, &in] {
        std::span<const float> rest = in.samples;
        while (spectra->next(rest)) benchmark::DoNotOptimize(spectra->power(0).data());
    };
}

// For stages whose time doesn't depend on what is heard. In the ear a frame is in the cache when its turn
// comes: the same second goes round.
Stage per_frame(const Inputs& in, std::function<void(FrameIndex)> one) {
    return [&in, one = std::move(one)] {
        for (FrameIndex f = 0; f < in.frames->count(); ++f) one(1000 + f % 64);
    };
}

Stage noise_floor(const Inputs& in) {
    auto floor = std::make_shared<dsp::NoiseFloor>();
    return per_frame(in, [floor, &in](FrameIndex f) { floor->process(in.frames->power(f)); });
}

Stage level(const Inputs& in) {
    const SegmentSettings& segments = in.profile.segments;
    auto detector = std::make_shared<LevelDetector>(segments.low_hz, segments.high_hz);
    return per_frame(in, [detector, &in](FrameIndex f) {
        detector->process(in.frames->power(f), in.frames->floor(f));
        benchmark::DoNotOptimize(detector->excess_db());
    });
}

Stage whitening(const Inputs& in) {
    auto whitened = std::make_shared<WhitenedFrame>();
    return per_frame(in, [whitened, &in](FrameIndex f) {
        whitened->process(in.frames->power(f), in.frames->floor(f));
        benchmark::DoNotOptimize(whitened.get());
    });
}

Stage whitening_and_tone(const Inputs& in) {
    const SegmentSettings& segments = in.profile.segments;
    auto whitened = std::make_shared<WhitenedFrame>();
    auto detector = std::make_shared<ToneDetector>(segments.f0_low_hz, segments.f0_high_hz);
    return per_frame(in, [whitened, detector, &in](FrameIndex f) {
        whitened->process(in.frames->power(f), in.frames->floor(f));
        detector->process(*whitened);
        benchmark::DoNotOptimize(detector->activity());
    });
}

Stage measuring(const Inputs& in) {
    const SegmentSettings& segments = in.profile.segments;
    auto measures = std::make_shared<SoundMeasures>(segments.low_hz, segments.high_hz);
    auto result = std::make_shared<SoundMeasures::Result>();
    return [=, &in] {
        for (const Span& span : in.sounds) {
            measures->process(*in.frames, span, *result);
            benchmark::DoNotOptimize(result->level_db);
        }
    };
}

// Beside the ear: each microphone's health, with the line at work all the time.
Stage watching(const Inputs& in) {
    return [&in] {
        MicrophoneWatch watch(kRate_hz, HealthSettings{});
        const auto always = [](double) { return true; };
        MicrophoneMinute minute;
        for (std::size_t at = 0; at < in.audio.size(); at += kBlock) {
            const std::size_t end = std::min(at + kBlock, in.audio.size());
            watch.process({&in.audio[at], end - at});
            watch.judge_until(static_cast<double>(end) / kRate_hz, always);
            while (watch.take(minute)) benchmark::DoNotOptimize(minute.level_db);
        }
    };
}

void add(CostTable& table, const std::string& title, const Inputs& in) {
    const auto stage = [&](const std::string& name, const Stage& work) {
        table.add(title + ": " + name, in.seconds(), work);
    };
    stage("hearing", hearing(in));
    stage("finding", finding(in));
    stage("resample", resampling(in));
    stage("frames and power", framing_and_spectrum(in));
    stage("noise floor", noise_floor(in));
    stage("level detector", level(in));
    stage("whitening", whitening(in));
    stage("whitening and tone", whitening_and_tone(in));
    stage("measures", measuring(in));
    stage("health", watching(in));
}

void print(const CostTable& table, const std::string& title, const Inputs& in) {
    const auto cost = [&](const std::string& name) { return table.cost(title + ": " + name); };
    table.print_heading(title);
    table.print_cost("resample 48 to 16 kHz", cost("resample"));
    table.print_cost("frames and power", cost("frames and power"));
    table.print_cost("noise floor", cost("noise floor"));
    table.print_cost("level detector", cost("level detector"));
    table.print_cost("whitening", cost("whitening"));
    table.print_cost("tone detector", cost("whitening and tone") - cost("whitening"));
    table.print_cost("measures of the sounds", cost("measures"));
    const double stages = cost("resample") + cost("frames and power") + cost("noise floor") +
                          cost("level detector") + cost("whitening and tone") + cost("measures");
    table.print_cost("history, spans, sounds let go", cost("finding") - stages);
    table.print_cost("scorecard", cost("hearing") - cost("finding"));
    table.print_cost("the whole ear", cost("hearing"));
    table.print_cost("the microphone's health, beside it", cost("health"));
    std::printf("%.0f s of audio, %zu sounds in %.1f %% of it, %zu calls: %.0f times real time\n",
                in.seconds(), in.sounds.size(), 100.0 * in.sounds_s / in.seconds(), in.calls,
                1.0 / cost("hearing"));
}

} // namespace

int main(int argc, char** argv) {
    const PlantAudio audio = make_plant_audio();
    const Profile profile = read_profile(Species::kCattle, "")->profile;
    const Inputs shift(audio.shift, profile);
    const Inputs bed(audio.bed, profile);
    CostTable table(audio.shift);
    add(table, "shift", shift);
    add(table, "background alone", bed);
    if (!table.run(argc, argv)) return 0;
    print(table, "shift", shift);
    print(table, "background alone", bed);
    return 0;
}
