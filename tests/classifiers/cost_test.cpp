// What hearing costs, as a multiple of a bare power spectrum of 1024 samples every 512 over the same 48 kHz
// audio, CPU time within one run: ratios hold where times don't. Optimised builds only.
#include <catch2/catch.hpp>
#include <cstdio>
#include <ctime>

#include "classifiers/ear.h"
#include "classifiers/profile_text.h"
#include "dsp/framer.h"
#include "dsp/power_spectrum.h"
#include "tests/classifiers/signals.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

constexpr double kRateHz = 48000.0;
constexpr double kSeconds = 30.0;

template <class Work>
double cpu_s(Work work) {
    double best = 1e9;
    for (int round = 0; round < 3; ++round) {
        const std::clock_t start = std::clock();
        work();
        best = std::min(best, static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
    }
    return best;
}

} // namespace

TEST_CASE("hearing busy audio costs less than six bare transforms of it") {
#ifndef NDEBUG
    WARN("skipped: not an optimised build");
#else
    // A call every three seconds, a third of the time in sounds.
    Samples samples = pink(kRateHz, kSeconds, 0.005);
    for (double at_s = 2.5; at_s < kSeconds - 2.0; at_s += 3.0) {
        add(samples, voice(kRateHz, 1.0, 0.03, [](double x) { return 150.0 + 60.0 * std::sin(3.0 * x); }),
            kRateHz, at_s);
    }
    const Profile profile = profile_from_toml(
        "species = 'cattle'\nname = 'c'\nversion = '1'\n[[card]]\nkind = 'moo'\nbase = 0\ncut = 1\n"
        "terms = [ { when = ['voice_s > 0.4'], points = 1 } ]\n");
    std::size_t calls = 0;
    const double hearing_s = cpu_s([&] {
        Ear ear(kRateHz, profile);
        for (std::size_t at = 0; at + 4800 <= samples.size(); at += 4800)
            ear.process({samples.data() + at, 4800});
        ear.finish();
        HeardCall call;
        calls = 0;
        while (ear.take(call)) ++calls;
    });
    float kept = 0.0F;
    const double bare_s = cpu_s([&] {
        dsp::Framer framer(1024, 512);
        dsp::PowerSpectrum spectrum(1024);
        std::vector<float> power(513);
        std::span<const float> rest(samples);
        while (framer.next(rest)) {
            spectrum.process(framer.frame(), power);
            kept += power[10];
        }
    });
    std::printf("hearing: %.0f x real time, %.2f times a bare transform (%.0f x)\n", kSeconds / hearing_s,
                hearing_s / bare_s, kSeconds / bare_s);
    CHECK(kept > 0.0F);
    CHECK(calls >= 9);
    CHECK(hearing_s < 6.0 * bare_s);
#endif
}
