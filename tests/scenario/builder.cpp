#include "tests/scenario/builder.h"

#include <filesystem>
#include <memory>
#include <span>
#include <vector>

#include "daemon/failure.h"
#include "tests/scenario/mixer.h"
#include "tests/scenario/timeline.h"
#include "tests/scenario/truth_files.h"
#include "tests/scenario/wav_writer.h"

namespace quietpass::scenario {

namespace {

void make_folder(const std::string& folder) {
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (error) {
        throw Failure(kExitFailure,
                      folder + ": can't be made (" + error.message() + "): name another folder");
    }
}

} // namespace

BuildSummary build(const Scenario& scenario, const BuildOptions& options) {
    RecordingShelf shelf(scenario);
    const Timeline timeline = make_timeline(scenario, shelf);
    Mixer mixer(scenario, timeline, shelf);
    make_folder(options.out_folder);

    const std::size_t microphones = scenario.microphones.size();
    const auto writer = [&](const char* name, bool float_samples) {
        return std::make_unique<WavWriter>(options.out_folder + "/" + name, static_cast<int>(microphones),
                                           scenario.sample_rate_hz, float_samples, mixer.length());
    };
    const auto audio = writer("audio.wav", scenario.float_samples);
    const auto bed = options.stems ? writer("bed.wav", true) : nullptr;
    const auto calls = options.stems ? writer("calls.wav", true) : nullptr;
    std::vector<std::span<const float>> block(microphones);
    const auto put = [&](WavWriter& file, std::span<const float> (Mixer::*part)(std::size_t) const) {
        for (std::size_t m = 0; m < microphones; ++m) block[m] = (mixer.*part)(m);
        file.write(block);
    };
    while (mixer.next()) {
        put(*audio, &Mixer::mixed);
        if (bed) put(*bed, &Mixer::bed);
        if (calls) put(*calls, &Mixer::calls);
        if (options.progress) {
            options.progress(static_cast<double>(mixer.done()) / static_cast<double>(mixer.length()));
        }
    }
    audio->finish();
    if (bed) bed->finish();
    if (calls) calls->finish();
    write_truth(timeline, options.out_folder);

    BuildSummary summary;
    summary.length_s = timeline.length_s;
    summary.passages = static_cast<int>(timeline.passages.size());
    for (const TruePassage& p : timeline.passages) {
        summary.vocal_passages += p.vocal() ? 1 : 0;
        summary.counted_calls += p.calls;
    }
    for (const Cue& cue : timeline.cues) {
        if (cue.kind == CueKind::kCall || cue.kind == CueKind::kWaiting) ++summary.calls;
    }
    summary.clipped_samples = audio->clipped();
    return summary;
}

} // namespace quietpass::scenario
