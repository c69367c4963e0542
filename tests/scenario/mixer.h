// The sound of a timeline, block by block: the bed of each microphone and what is mixed into it.
//
// Signal-to-noise ratio: a call is brought to the level at which, on the first microphone, between its
// start_s and end_s, its mean power is snr_db over that of the bed in the same stretch, both through the
// microphone's response and the scenario's band (BandFilter, snr_band_hz). The bed is the steady background
// without disturbances and calls. A disturbance's loudest 125 ms (RMS, Z) stand level_db over the bed's
// level_db on the first microphone.
//
// Memory: some seconds of sound a microphone, whatever the shift's length.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "tests/scenario/bed.h"
#include "tests/scenario/fast_noise.h"
#include "tests/scenario/sound_path.h"
#include "tests/scenario/timeline.h"

namespace quietpass::scenario {

class Mixer {
  public:
    Mixer(const Scenario& scenario, const Timeline& timeline, RecordingShelf& shelf);

    // Makes the next block; false when the shift is over. The spans below are valid until the next call.
    bool next();

    std::size_t block_size() const { return out_count_; }
    std::span<const float> mixed(std::size_t microphone) const;
    std::span<const float> bed(std::size_t microphone) const;
    std::span<const float> calls(std::size_t microphone) const; // calls, grunts and waiting animals' calls
    std::int64_t done() const { return first_ + static_cast<std::int64_t>(out_count_); } // samples
    std::int64_t length() const { return length_; }

  private:
    struct Channel {
        Channel(const Scenario& scenario, std::size_t number, RecordingShelf& shelf,
                const Timeline& timeline);
        Bed source;
        MicrophoneResponse response;
        FastNoise self_noise;
        float self_gain;
        std::vector<float> bed, calls, others, mixed; // from first_ on
    };

    void extend_beds();
    void mix_in(const Cue& cue);
    std::vector<float> sound_of(const Cue& cue) const;
    PathSettings path_of(const Cue& cue, std::size_t microphone) const;
    double bed_power(double start_s, double end_s) const; // in the band, on the first microphone
    double gain_of(const Cue& cue, std::span<const float> on_first) const;

    const Scenario& scenario_;
    const Timeline& timeline_;
    double rate_hz_;
    std::int64_t length_;
    std::size_t block_;
    std::size_t ahead_;         // samples of bed that are made before they are put out
    std::int64_t first_ = 0;    // of the block that is out
    std::int64_t bed_made_ = 0; // samples
    std::size_t out_count_ = 0;
    std::size_t next_cue_ = 0;
    BandFilter band_;
    std::vector<double> power_ms_; // ring: band energy of the bed, by millisecond
    std::vector<Channel> channels_;
};

} // namespace quietpass::scenario
