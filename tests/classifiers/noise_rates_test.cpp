// What the rules of bangs and hisses reach on real recordings, by recording: each in pink noise 25 dB under
// its loudest 125 ms. Needs the recordings: QUIETPASS_RECORDINGS, or ../shared/recordings beside the source
// folder; without them the test says so and passes.
#include <sndfile.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>

#include "classifiers/ear.h"
#include "classifiers/profile_text.h"
#include "tests/classifiers/signals.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

struct Rates {
    int recordings = 0;
    int with_bang = 0;
    int with_hiss = 0;
    double bangs() const { return static_cast<double>(with_bang) / recordings; }
    double hisses() const { return static_cast<double>(with_hiss) / recordings; }
};

std::string recordings() {
    if (const char* folder = std::getenv("QUIETPASS_RECORDINGS")) return folder;
    return std::string(QUIETPASS_SOURCE_DIR) + "/../shared/recordings";
}

Samples in_noise(const std::filesystem::path& path, double& rate_hz) {
    SF_INFO info{};
    SNDFILE* file = sf_open(path.c_str(), SFM_READ, &info);
    if (file == nullptr) return {};
    std::vector<float> all(static_cast<std::size_t>(info.frames * info.channels));
    sf_readf_float(file, all.data(), info.frames);
    sf_close(file);
    rate_hz = info.samplerate;
    Samples clip;
    for (std::size_t i = 0; i < all.size(); i += static_cast<std::size_t>(info.channels))
        clip.push_back(all[i]);
    const auto window = static_cast<std::size_t>(0.125 * rate_hz);
    double sum = 0.0;
    double loudest = 0.0;
    for (std::size_t i = 0; i < clip.size(); ++i) {
        sum += static_cast<double>(clip[i]) * clip[i];
        if (i >= window) sum -= static_cast<double>(clip[i - window]) * clip[i - window];
        loudest = std::max(loudest, sum);
    }
    const double rms = std::sqrt(loudest / static_cast<double>(window));
    if (!(rms > 1e-6)) return {};
    constexpr double kLeadS = 4.0;
    Samples mix = pink(rate_hz, kLeadS + static_cast<double>(clip.size()) / rate_hz + 1.0,
                       rms * std::pow(10.0, -25.0 / 20.0));
    add(mix, clip, rate_hz, kLeadS);
    return mix;
}

Rates rates_of(const std::string& name, const Profile& profile) {
    Rates rates;
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(recordings() + "/" + name)) {
        files.push_back(entry.path());
    }
    std::sort(files.begin(), files.end());
    for (const auto& path : files) {
        double rate_hz = 0.0;
        const Samples mix = in_noise(path, rate_hz);
        if (mix.empty()) continue;
        Ear ear(rate_hz, profile);
        ear.process(mix);
        ear.finish();
        bool bang = false;
        bool hiss = false;
        HeardNoise noise;
        while (ear.take(noise)) (noise.kind == NoiseKind::kBang ? bang : hiss) = true;
        ++rates.recordings;
        rates.with_bang += bang ? 1 : 0;
        rates.with_hiss += hiss ? 1 : 0;
    }
    std::printf("%-12s %3d recordings, a bang in %3d, a hiss in %3d\n", name.c_str(), rates.recordings,
                rates.with_bang, rates.with_hiss);
    return rates;
}

} // namespace

TEST_CASE("Bangs and hisses are found in recordings of impacts and air, and not in animals' calls") {
    if (!std::filesystem::exists(recordings() + "/impulse")) {
        std::printf("no recordings in %s: what the rules of noises reach was not looked at\n",
                    recordings().c_str());
        return;
    }
    std::ifstream file(std::string(QUIETPASS_SOURCE_DIR) + "/classifiers/profiles/cattle.toml");
    const std::string text((std::istreambuf_iterator<char>(file)), std::istreambuf_iterator<char>());
    const Profile profile = profile_from_toml(text);
    std::map<std::string, Rates> rates;
    for (const char* name :
         {"impulse", "metal", "air", "cattle", "pig_squeal", "speech", "shout", "engine"}) {
        rates[name] = rates_of(name, profile);
    }
    CHECK(rates["impulse"].bangs() >= 0.40);
    CHECK(rates["metal"].bangs() >= 0.45);
    CHECK(rates["air"].hisses() >= 0.50);
    CHECK(rates["cattle"].bangs() <= 0.05);
    CHECK(rates["cattle"].hisses() <= 0.05);
    CHECK(rates["speech"].bangs() <= 0.20);
    CHECK(rates["engine"].bangs() <= 0.10);
    for (const char* name : {"pig_squeal", "speech", "shout", "engine"}) {
        CHECK(rates[name].hisses() <= 0.13);
    }
}
