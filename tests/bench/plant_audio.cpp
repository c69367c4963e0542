#include "tests/bench/plant_audio.h"

#include <sndfile.h>

#include <stdexcept>
#include <string>

#include "tests/scenario/builder.h"
#include "tests/scenario/scenario_file.h"
#include "tests/test_folder.h"

namespace quietpass::bench {

namespace {

std::vector<float> samples_of(const std::string& path) {
    SF_INFO info{};
    SNDFILE* file = sf_open(path.c_str(), SFM_READ, &info);
    if (file == nullptr || info.channels != 1) throw std::runtime_error(path + ": not one channel of audio");
    std::vector<float> samples(static_cast<std::size_t>(info.frames));
    sf_readf_float(file, samples.data(), info.frames);
    sf_close(file);
    return samples;
}

} // namespace

PlantAudio make_plant_audio() {
    scenario::Scenario scenario =
        scenario::read_scenario(QUIETPASS_TESTDATA "/scenarios/cattle_box_15db.toml");
    scenario.passages = 5;
    scenario.calls.vocal_share = 0.2;
    const TestFolder folder;
    scenario::build(scenario, {.out_folder = folder.path("shift"), .stems = true, .progress = {}});
    return {samples_of(folder.path("shift/audio.wav")), samples_of(folder.path("shift/bed.wav"))};
}

} // namespace quietpass::bench
