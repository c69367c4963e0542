// What each stage of the signal processing costs when every frame goes through it. Ratios: cost_table.h.
#include <benchmark/benchmark.h>

#include <cmath>
#include <cstdio>
#include <functional>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "dsp/filter_bank.h"
#include "dsp/framer.h"
#include "dsp/level_meter.h"
#include "dsp/mfcc.h"
#include "dsp/noise_floor.h"
#include "dsp/pitch.h"
#include "dsp/pitch_path.h"
#include "dsp/power_spectrum.h"
#include "dsp/resampler.h"
#include "dsp/spectral_measures.h"
#include "dsp/spectrum_stream.h"
#include "tests/bench/cost_table.h"

namespace {

using namespace quietpass::dsp;
using namespace quietpass::bench;

constexpr double kAudio_s = 20.0;
constexpr std::size_t kBlock = 4800; // 0.1 s, as a device gives it

// Brown-ish plant noise with a gliding call of ten harmonics every two seconds.
std::vector<float> make_audio() {
    std::vector<float> audio(static_cast<std::size_t>(kRate_hz * kAudio_s));
    std::mt19937 random(7);
    std::normal_distribution<double> normal;
    double low = 0.0;
    double phase = 0.0;
    for (std::size_t n = 0; n < audio.size(); ++n) {
        const double t = static_cast<double>(n) / kRate_hz;
        low = 0.98 * low + 0.02 * normal(random);
        double call = 0.0;
        if (std::fmod(t, 2.0) < 1.0) {
            phase += 2.0 * 3.141592653589793 * (150.0 + 40.0 * std::sin(3.0 * t)) / kRate_hz;
            for (int h = 1; h <= 10; ++h) call += std::sin(h * phase) / h;
        }
        audio[n] = static_cast<float>(0.3 * low + 0.002 * normal(random) + 0.05 * call);
    }
    return audio;
}

const std::vector<float>& audio_48k() {
    static const std::vector<float> audio = make_audio();
    return audio;
}

const std::vector<float>& audio_16k() {
    static const std::vector<float> audio = [] {
        Resampler resampler(kRate_hz);
        std::vector<float> out(resampler.max_output(audio_48k().size()));
        out.resize(resampler.process(audio_48k(), out));
        return out;
    }();
    return audio;
}

struct Spectra {
    std::vector<float> power; // [frames][kBins]
    std::vector<float> floor;
    std::vector<PitchFrame> pitches;
    std::size_t frames = 0;
    std::span<const float> power_of(std::size_t k) const { return {&power[k * kBins], kBins}; }
    std::span<const float> floor_of(std::size_t k) const { return {&floor[k * kBins], kBins}; }
};

const Spectra& spectra() {
    static const Spectra made = [] {
        Spectra s;
        PowerSpectrum spectrum;
        Framer framer(kFrameSize, kHop);
        NoiseFloor floor;
        PitchEstimator pitch;
        std::vector<float> power(kBins);
        std::span<const float> rest = audio_16k();
        while (framer.next(rest)) {
            spectrum.process(framer.frame(), power);
            floor.process(power);
            s.power.insert(s.power.end(), power.begin(), power.end());
            s.floor.insert(s.floor.end(), floor.floor().begin(), floor.floor().end());
            s.pitches.emplace_back();
            pitch.process(power, floor.floor(), s.pitches.back());
            ++s.frames;
        }
        return s;
    }();
    return made;
}

const BinRange kCallRange = bins_between(50.0, 8000.0, kBinHz, kBins);

Stage resampling(double rate_hz) {
    auto resampler = std::make_shared<Resampler>(rate_hz);
    const auto block = static_cast<std::size_t>(rate_hz / 10.0);
    auto out = std::make_shared<std::vector<float>>(resampler->max_output(block));
    return [=] {
        // Rates other than 48 kHz take the same samples as if they had been recorded at theirs.
        const std::vector<float>& audio = audio_48k();
        const auto blocks = static_cast<std::size_t>(kAudio_s * 10.0);
        for (std::size_t b = 0; b < blocks; ++b) {
            const std::size_t start = b * block % (audio.size() - block + 1);
            benchmark::DoNotOptimize(resampler->process({&audio[start], block}, *out));
        }
    };
}

Stage framing_and_spectrum() {
    auto spectra = std::make_shared<SpectrumStream>();
    return [=] {
        std::span<const float> rest = audio_16k();
        while (spectra->next(rest)) benchmark::DoNotOptimize(spectra->power(0).data());
    };
}

Stage per_frame(std::function<void(std::size_t)> one) {
    return [one = std::move(one)] {
        for (std::size_t k = 0; k < spectra().frames; ++k) one(k);
    };
}

Stage noise_floor() {
    auto floor = std::make_shared<NoiseFloor>();
    return per_frame([=](std::size_t k) { floor->process(spectra().power_of(k)); });
}

Stage pitch() {
    auto estimator = std::make_shared<PitchEstimator>();
    auto found = std::make_shared<PitchFrame>();
    return per_frame([=](std::size_t k) {
        estimator->process(spectra().power_of(k), spectra().floor_of(k), *found);
        benchmark::DoNotOptimize(found.get());
    });
}

Stage pitch_path() {
    auto path = std::make_shared<PitchPath>();
    auto points = std::make_shared<std::vector<PitchPoint>>(PitchPath::kMaxFrames);
    return [=] {
        const std::vector<PitchFrame>& frames = spectra().pitches;
        for (std::size_t k = 0; k + 64 <= frames.size(); k += 64) path->process({&frames[k], 64}, *points);
    };
}

Stage mel_and_mfcc() {
    auto bank = std::make_shared<FilterBank>(FilterBank::mel(kBins, kBinHz, 40, 50.0, 8000.0));
    auto mfcc = std::make_shared<Mfcc>(40, 13);
    auto bands = std::make_shared<std::vector<float>>(40);
    auto cepstrum = std::make_shared<std::vector<float>>(13);
    return per_frame([=](std::size_t k) {
        bank->process(spectra().power_of(k), *bands);
        mfcc->process(*bands, *cepstrum);
        benchmark::DoNotOptimize(cepstrum->data());
    });
}

Stage shape() {
    return per_frame([](std::size_t k) {
        benchmark::DoNotOptimize(spectral_shape(spectra().power_of(k), kCallRange, kBinHz));
        if (k > 0)
            benchmark::DoNotOptimize(flux(spectra().power_of(k), spectra().power_of(k - 1), kCallRange));
    });
}

Stage level_meter_16k() {
    auto meter = std::make_shared<LevelMeter>(kAnalysisRateHz, Weighting::kA, TimeWeighting::kFast);
    return [=] {
        meter->process(audio_16k());
        benchmark::DoNotOptimize(meter->maximum_db());
    };
}

} // namespace

int main(int argc, char** argv) {
    const std::vector<std::pair<std::string, Stage>> chain = {
        {"resample 48 to 16 kHz", resampling(48000.0)},
        {"frames and power", framing_and_spectrum()},
        {"noise floor", noise_floor()},
        {"pitch candidates", pitch()},
        {"pitch path", pitch_path()},
        {"mel bands and MFCC", mel_and_mfcc()},
        {"shape and flux", shape()},
    };
    const std::vector<std::pair<std::string, Stage>> beside = {
        {"level meter A, F at 16 kHz", level_meter_16k()},
        {"resample 44.1 to 16 kHz", resampling(44100.0)},
        {"resample 47.999 to 16 kHz", resampling(47999.0)},
    };
    CostTable table(audio_48k());
    for (const auto& [name, stage] : chain) table.add(name, kAudio_s, stage);
    for (const auto& [name, stage] : beside) table.add(name, kAudio_s, stage);
    if (!table.run(argc, argv)) return 0;

    table.print_heading("stage, every frame");
    double sum = 0.0;
    for (const auto& [name, stage] : chain) {
        table.print(name);
        sum += table.cost(name);
    }
    table.print_cost("all of the chain", sum);
    for (const auto& [name, stage] : beside) table.print(name);
    std::printf("chain: %.0f times real time; the transform itself is %.0f %% of it\n", 1.0 / sum,
                100.0 * table.cost("frames and power") / sum);
    return 0;
}
