// What the page costs the daemon: the running spectrogram and the levels of one microphone while somebody
// listens, on the daemon's loop (columns) and on the page's thread (messages); and pictures of a clip, each
// at its greatest. Noise of 48 kHz. Ratios: cost_table.h.
#include <benchmark/benchmark.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include "daemon/clips/clip_flac.h"
#include "daemon/clips/clip_peaks.h"
#include "daemon/clips/spectrogram_tile.h"
#include "daemon/records/store_writer.h"
#include "daemon/shift_book.h"
#include "daemon/web/live_board.h"
#include "daemon/web/live_sound.h"
#include "tests/bench/cost_table.h"
#include "tests/test_folder.h"

namespace {

using namespace quietpass;
using namespace quietpass::bench;

constexpr std::size_t kBlock = 2400; // 0.05 s, a turn of the daemon's loop
constexpr double kAudio_s = 60.0;

std::vector<float> noise() {
    std::minstd_rand random(7);
    std::normal_distribution<float> normal(0.0F, 0.05F);
    std::vector<float> samples(static_cast<std::size_t>(kAudio_s * kRate_hz));
    for (float& sample : samples) sample = normal(random);
    return samples;
}

StationSettings one_microphone() {
    StationSettings settings;
    settings.name = "box-1";
    settings.microphones.emplace_back().name = "head";
    return settings;
}

void play(LiveSound& sound, const std::vector<float>& audio, const std::function<void()>& each_turn) {
    for (std::size_t at = 0; at < audio.size(); at += kBlock) {
        sound.on_sound(0, kRate_hz, static_cast<double>(at) / kRate_hz, {&audio[at], kBlock});
        each_turn();
    }
}

} // namespace

int main(int argc, char** argv) {
    const std::vector<float> audio = noise();
    const TestFolder folder;
    const StationSettings settings = one_microphone();
    StoreWriter writer(Store(folder / "records.db"));
    ShiftBook book(settings, Provenance{}, nullptr, writer, [](const ClosedShift&) {});
    book.begin(0.0, std::nullopt);
    LiveFeed feed(book);
    feed.listened(true);
    LiveSound sound(feed);
    PageMetrics metrics(settings.name);
    LiveBoard board(settings, metrics);

    SoundCut cut;
    cut.rate_hz = kRate_hz;
    cut.frames = audio.size();
    cut.channels = {{kRate_hz, audio}};
    const std::string clip = folder.write("clip.flac", flac_of(cut, 16, {}));

    CostTable table(audio);
    table.add("columns", kAudio_s, [&] { play(sound, audio, [&] { feed.take([](const LiveEvent&) {}); }); });
    table.add("columns and messages", kAudio_s, [&] {
        play(sound, audio, [&] {
            feed.take([&](const LiveEvent& event) { board.apply(event, [](const LiveBoard::Message&) {}); });
        });
    });
    table.add("tile of 60 s, 2048 x 512", kAudio_s, [&] {
        ClipStretch stretch(clip);
        benchmark::DoNotOptimize(
            spectrogram_tile(stretch, {0, 0.0, kAudio_s, 2048, 512, 8000.0, -100.0, -20.0}));
    });
    table.add("4000 peaks of 60 s", kAudio_s, [&] {
        ClipStretch stretch(clip);
        benchmark::DoNotOptimize(clip_peaks(stretch, 0, 0, stretch.frames(), 4000));
    });
    if (!table.run(argc, argv)) return 0;
    table.print_heading("the page");
    for (const char* stage :
         {"columns", "columns and messages", "tile of 60 s, 2048 x 512", "4000 peaks of 60 s"}) {
        table.print(stage);
        std::printf("    %.2f ms of CPU a second of sound, %.0f ms in all\n", 1e3 * table.cost(stage),
                    1e3 * table.cost(stage) * kAudio_s);
    }
    return 0;
}
