// Sets the stage for PortAudio: sound files played as microphones by the ALSA plug-in, through
// make_asound_conf. Thread: the test's, before PortAudio is started.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "daemon/capture/audio_source.h"
#include "daemon/clock.h"
#include "tests/capture/sound_files.h"

namespace quietpass::tests {

class TestMicrophones {
  public:
    // speed: how many times faster than real time the devices run.
    explicit TestMicrophones(double speed = 8.0) : speed_(speed) {}

    // options: further options of make_asound_conf, as "--faults 'skip 48000 4800' --format s16".
    TestMicrophones& add(const std::string& name, const std::vector<float>& interleaved, int channels = 1,
                         const std::string& options = "");
    // Writes the configuration and points ALSA_CONFIG_PATH to it.
    void plug_in();

    const TestFolder& folder() const { return folder_; }

  private:
    TestFolder folder_;
    double speed_;
    std::string arguments_;
};

// All that a source gave.
struct Heard {
    struct Loss {
        std::int64_t first_index;
        std::int64_t count;
        GapCause cause;
    };
    std::vector<std::vector<float>> samples; // by channel, one after the other, losses left out
    std::vector<std::int64_t> starts;        // where in `samples` each loss stands
    std::vector<Loss> losses;                // neighbours of one cause are one
    std::int64_t next_index = 0;
    bool in_order = true; // each stretch began where the one before ended

    std::int64_t lost() const;
};

// Reads until so many samples (lost ones included) are there. Fails the test after 30 s.
Heard listen(AudioSource& source, const Clock& clock, std::int64_t until_index);

// Where in `samples` the run `part` begins; −1: nowhere.
std::int64_t place_of(const std::vector<float>& part, const std::vector<float>& samples);

} // namespace quietpass::tests
