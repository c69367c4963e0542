// The finder's recall on real calls is the ceiling of everything behind it. Needs the recordings:
// QUIETPASS_RECORDINGS, or ../shared/recordings beside the source folder; without them the test says so and
// passes.
#include <sndfile.h>
#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>
#include <string>

#include "tests/classifiers/signals.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

struct Clip {
    Samples samples;
    double rate_hz = 0.0;
    std::vector<std::pair<double, double>> spans; // of calling, seconds
};

Clip load(const std::string& path) {
    SF_INFO info{};
    SNDFILE* file = sf_open(path.c_str(), SFM_READ, &info);
    if (file == nullptr) return {};
    std::vector<float> all(static_cast<std::size_t>(info.frames * info.channels));
    sf_readf_float(file, all.data(), info.frames);
    sf_close(file);
    Clip clip;
    clip.rate_hz = info.samplerate;
    for (std::size_t i = 0; i < all.size(); i += static_cast<std::size_t>(info.channels))
        clip.samples.push_back(all[i]);
    return clip;
}

// Stretches within 15 dB of the loudest 50 ms; pauses under 0.2 s bridged, shorter ones than 0.3 s left out.
void find_spans(Clip& clip) {
    const auto step = static_cast<std::size_t>(0.05 * clip.rate_hz);
    std::vector<double> power;
    for (std::size_t at = 0; at + step <= clip.samples.size(); at += step) {
        double sum = 0.0;
        for (std::size_t i = at; i < at + step; ++i)
            sum += static_cast<double>(clip.samples[i]) * clip.samples[i];
        power.push_back(sum);
    }
    if (power.empty()) return;
    const double least = *std::max_element(power.begin(), power.end()) / 31.6;
    for (std::size_t i = 0; i < power.size(); ++i) {
        if (power[i] < least) continue;
        const double start_s = 0.05 * static_cast<double>(i);
        if (!clip.spans.empty() && start_s - clip.spans.back().second < 0.2) {
            clip.spans.back().second = start_s + 0.05;
        } else {
            clip.spans.push_back({start_s, start_s + 0.05});
        }
    }
    std::erase_if(clip.spans, [](const auto& span) { return span.second - span.first < 0.3; });
}

// "squeal_segs=0.67-2.67,3.19-4.9" of a manifest note.
void read_spans(Clip& clip, const std::string& note) {
    const std::size_t at = note.find("squeal_segs=");
    if (at == std::string::npos) return;
    std::stringstream list(note.substr(at + 12, note.find(';', at) - at - 12));
    std::string item;
    while (std::getline(list, item, ',')) {
        double start_s = 0.0;
        double end_s = 0.0;
        if (std::sscanf(item.c_str(), "%lf-%lf", &start_s, &end_s) == 2 && end_s - start_s >= 0.2) {
            clip.spans.push_back({start_s, end_s});
        }
    }
}

std::string recordings() {
    if (const char* folder = std::getenv("QUIETPASS_RECORDINGS")) return folder;
    return std::string(QUIETPASS_SOURCE_DIR) + "/../shared/recordings";
}

struct Recall {
    std::size_t found = 0;
    std::size_t calls = 0;
    double share() const { return static_cast<double>(found) / static_cast<double>(calls); }
};

// Each call in noise of its own, snr_db under the call's own root mean square.
Recall recall_at(double snr_db, const std::string& class_name, const SegmentSettings& settings) {
    Recall recall;
    std::ifstream manifest(recordings() + "/MANIFEST.tsv");
    std::string line;
    std::uint32_t seed = 1;
    while (std::getline(manifest, line)) {
        if (line.rfind(class_name + "/", 0) != 0) continue;
        Clip clip = load(recordings() + "/" + line.substr(0, line.find('\t')));
        if (clip.samples.empty()) continue;
        class_name == "pig_squeal" ? read_spans(clip, line) : find_spans(clip);
        if (clip.spans.empty()) continue;
        for (const auto& [start_s, end_s] : clip.spans) {
            double power = 0.0;
            std::size_t count = 0;
            for (auto i = static_cast<std::size_t>(start_s * clip.rate_hz);
                 i < std::min(clip.samples.size(), static_cast<std::size_t>(end_s * clip.rate_hz)); ++i) {
                power += static_cast<double>(clip.samples[i]) * clip.samples[i];
                ++count;
            }
            const double rms = std::sqrt(power / static_cast<double>(count));
            constexpr double kLeadS = 4.0;
            const double length_s = static_cast<double>(clip.samples.size()) / clip.rate_hz;
            Samples mix =
                pink(clip.rate_hz, kLeadS + length_s + 1.0, rms * std::pow(10.0, -snr_db / 20.0), seed++);
            add(mix, clip.samples, clip.rate_hz, kLeadS);
            const auto sounds = sounds_in(mix, clip.rate_hz, settings);
            ++recall.calls;
            if (covered(sounds, kLeadS + start_s, kLeadS + end_s) >= 0.5) ++recall.found;
        }
    }
    return recall;
}

void check_recall(const std::string& class_name, const SegmentSettings& settings) {
    if (!std::filesystem::exists(recordings() + "/MANIFEST.tsv")) {
        WARN("skipped: no recordings at " + recordings());
        return;
    }
    const Recall at_5 = recall_at(5.0, class_name, settings);
    const Recall at_0 = recall_at(0.0, class_name, settings);
    INFO("found " << at_5.found << " of " << at_5.calls << " at 5 dB, " << at_0.found << " of " << at_0.calls
                  << " at 0 dB");
    REQUIRE(at_5.calls > 20);
    std::printf("%s: found %zu of %zu at 5 dB, %zu of %zu at 0 dB\n", class_name.c_str(), at_5.found,
                at_5.calls, at_0.found, at_0.calls);
    CHECK(at_5.share() >= 0.97);
    CHECK(at_0.share() >= 0.93);
}

} // namespace

TEST_CASE("cattle calls in pink noise are found: 97 of 100 at 5 dB, 93 at 0 dB") {
    SegmentSettings settings;
    settings.shortest_s = 0.2;
    check_recall("cattle", settings);
}

TEST_CASE("pig squeals in pink noise are found: 97 of 100 at 5 dB, 93 at 0 dB") {
    SegmentSettings settings;
    settings.low_hz = 400.0;
    settings.high_hz = 7500.0;
    settings.f0_low_hz = 150.0;
    settings.f0_high_hz = 2500.0;
    settings.shortest_s = 0.12;
    settings.join_s = 0.1;
    check_recall("pig_squeal", settings);
}
