#include <catch2/catch.hpp>

#include "dsp/filter_bank.h"
#include "dsp/framer.h"
#include "dsp/level_meter.h"
#include "dsp/mfcc.h"
#include "dsp/modulation.h"
#include "dsp/noise_floor.h"
#include "dsp/pitch.h"
#include "dsp/pitch_path.h"
#include "dsp/power_spectrum.h"
#include "dsp/resampler.h"
#include "dsp/spectral_measures.h"
#include "dsp/spectrum_stream.h"
#include "tests/dsp/allocation_counter.h"
#include "tests/dsp/signals.h"

using namespace quietpass;
using namespace quietpass::dsp;

TEST_CASE("the counter sees allocations of C++ and of C libraries") {
    const std::size_t before = allocations_so_far();
    auto block = std::make_unique<std::vector<int>>(100);
    CHECK(allocations_so_far() >= before + 2);
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
    const std::size_t between = allocations_so_far();
    const RealFft fft(1024);
    CHECK(allocations_so_far() >= between + 3); // two plans of the C library and their owner
#endif
}

TEST_CASE("the whole chain from device samples to pitch path and measures allocates nothing while it runs") {
    const double rate = GENERATE(8000.0, 16000.0, 44100.0, 48000.0, 47999.0);
    const std::vector<float> audio = signals::noise(static_cast<std::size_t>(rate) * 4, 0.1);
    constexpr std::size_t kBlock = 700;
    Resampler resampler(rate);
    std::vector<float> analysis(resampler.max_output(kBlock));
    Framer framer(kFrameSize, kHop);
    PowerSpectrum spectrum;
    SpectrumStream spectra;
    NoiseFloor floor;
    const FilterBank bank = FilterBank::mel(kBins, kBinHz, 40, 50.0, 8000.0);
    Mfcc mfcc(40, 13);
    PitchEstimator pitch;
    PitchPath path;
    ModulationSpectrum modulation;
    LevelMeter meter(rate, Weighting::kA, TimeWeighting::kFast);
    std::vector<float> power(kBins);
    std::vector<float> previous(kBins);
    std::vector<float> mel(40);
    std::vector<float> cepstrum(13);
    std::vector<float> envelope;
    std::vector<PitchFrame> frames;
    envelope.reserve(1000);
    frames.reserve(1000);
    std::vector<PitchPoint> points(1000);
    double sink = 0.0;

    const std::size_t before = allocations_so_far();
    const auto take = [&](std::span<const float> samples) {
        std::span<const float> again = samples;
        while (spectra.next(again)) sink += static_cast<double>(spectra.power(0)[10]);
        while (framer.next(samples)) {
            spectrum.process(framer.frame(), power);
            floor.process(power);
            bank.process(power, mel);
            mfcc.process(mel, cepstrum);
            frames.emplace_back();
            pitch.process(power, floor.floor(), frames.back());
            const SpectralShape shape = spectral_shape(power, {4, 512}, kBinHz);
            sink += shape.entropy + flux(power, previous, {4, 512});
            envelope.push_back(static_cast<float>(shape.power));
            previous.swap(power);
        }
    };
    for (std::size_t start = 0; start + kBlock <= audio.size(); start += kBlock) {
        const std::span<const float> block{&audio[start], kBlock};
        meter.process(block);
        const std::size_t count = resampler.process(block, analysis);
        take({analysis.data(), count});
    }
    take({analysis.data(), resampler.finish(analysis)});
    spectra.flush();
    spectra.reset();
    path.process(frames, points);
    modulation.process(envelope);
    sink += modulation.share(3.0, 6.0) + meter.maximum_db();
    resampler.reset();
    floor.reset();
    const std::size_t after = allocations_so_far();

    CHECK(after == before);
    CHECK(frames.size() > 240);
    CHECK(std::isfinite(sink));
}
