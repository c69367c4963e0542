// What clips cost beside the ear: sound kept in memory, and cutting, FLAC and hash of each call with two
// seconds before and after; and how much space they take. Plant-like audio, one microphone. Ratios:
// cost_table.h.
#include <benchmark/benchmark.h>

#include <cstdio>
#include <string>
#include <vector>

#include "classifiers/ear.h"
#include "daemon/clips/clip_flac.h"
#include "daemon/clips/sound_ring.h"
#include "daemon/profile_file.h"
#include "daemon/records/sha256.h"
#include "tests/bench/cost_table.h"
#include "tests/bench/plant_audio.h"

namespace {

using namespace quietpass;
using namespace quietpass::bench;

constexpr std::size_t kBlock = 4800; // 0.1 s, as a device gives it
constexpr double kAround_s = 2.0;

std::vector<HeardCall> calls_in(const std::vector<float>& audio, const Profile& profile) {
    Ear ear(kRate_hz, profile);
    ear.process(audio);
    ear.finish();
    std::vector<HeardCall> calls;
    HeardCall call;
    while (ear.take(call)) calls.push_back(call);
    return calls;
}

struct Kept {
    std::size_t clips = 0;
    double seconds = 0.0;
    std::size_t bytes = 0;
};

// 16-bit sound, as most devices give it.
std::vector<float> as_16_bit(std::vector<float> audio) {
    for (float& sample : audio)
        sample = static_cast<float>(static_cast<int>(sample * 32767.0F)) * (1.0F / 32768.0F);
    return audio;
}

// A little quieter, so that the bits below the sixteenth are not zero.
std::vector<float> as_24_bit(std::vector<float> audio) {
    for (float& sample : audio) sample *= 0.97F;
    return audio;
}

Kept keep(const std::vector<float>& audio, const std::vector<HeardCall>& calls, int bits) {
    // Made once, as a daemon does; each time the sound begins anew.
    static SoundRing ring(std::vector{kRate_hz}, 180.0);
    const double from_s = ring.heard_until_s();
    Kept kept;
    auto call = calls.begin();
    for (std::size_t at = 0; at < audio.size(); at += kBlock) {
        ring.hear(0, {&audio[at], std::min(kBlock, audio.size() - at)});
        for (; call != calls.end() && from_s + call->end_s + kAround_s <= ring.heard_until_s(); ++call) {
            const auto cut = ring.cut(from_s + call->start_s - kAround_s, from_s + call->end_s + kAround_s);
            if (!cut) continue;
            const std::string bytes = flac_of(*cut, bits, {});
            benchmark::DoNotOptimize(sha256_hex(bytes));
            kept.bytes += bytes.size();
            kept.seconds += cut->length_s();
            ++kept.clips;
        }
    }
    return kept;
}

void tell_space(const char* of, const Kept& kept) {
    std::printf("%s: %zu clips of %.1f s, %.0f kB a clip, %.0f MB per 1000 calls, %.2f MB a minute\n", of,
                kept.clips, kept.seconds / static_cast<double>(kept.clips),
                1e-3 * static_cast<double>(kept.bytes) / static_cast<double>(kept.clips),
                1e-3 * static_cast<double>(kept.bytes) / static_cast<double>(kept.clips),
                60e-6 * static_cast<double>(kept.bytes) / kept.seconds);
}

} // namespace

int main(int argc, char** argv) {
    const PlantAudio plant = make_plant_audio();
    const std::vector<float> sound = as_16_bit(plant.shift);
    const auto profile = read_profile(Species::kCattle, "");
    const std::vector<HeardCall> calls = calls_in(sound, profile->profile);
    const double length_s = static_cast<double>(sound.size()) / kRate_hz;

    CostTable table(sound);
    table.add("ear", length_s, [&] { calls_in(sound, profile->profile); });
    table.add("sound in memory", length_s, [&] { keep(sound, {}, 24); });
    table.add("memory and clips", length_s, [&] { keep(sound, calls, 24); });
    if (!table.run(argc, argv)) return 0;
    table.print_heading("Clips beside the ear");
    for (const char* const name : {"ear", "sound in memory", "memory and clips"}) table.print(name);
    std::printf("of the ear: memory %.1f %%, memory and clips %.1f %% (%zu calls in %.0f s)\n",
                100.0 * table.cost("sound in memory") / table.cost("ear"),
                100.0 * table.cost("memory and clips") / table.cost("ear"), calls.size(), length_s);
    tell_space("16-bit device", keep(sound, calls, 24));
    tell_space("24-bit device", keep(as_24_bit(plant.shift), calls, 24));
    tell_space("24-bit device, flac16", keep(as_24_bit(plant.shift), calls, 16));
    return 0;
}
