// The bangs and hisses of one Ear, from the sounds it judged: each once, however many sounds hold it, and
// none that is a call's own onset.
//
// Fixed size, allocates nothing, noexcept. Not thread-safe. What comes out doesn't depend on how sounds and
// release() were interleaved, as long as `settled_s` is what SoundFinder says. Beyond kMost that wait,
// further ones are dropped.
#pragma once

#include <array>
#include <cstddef>
#include <span>

#include "classifiers/noise_rules.h"

namespace quietpass {

class NoiseList {
  public:
    static constexpr std::size_t kMost = 128;
    static constexpr double kSame_s = 0.1; // two of a kind closer than this are one

    // A sound in the order SoundFinder gives them. is_call: only impacts ahead of its voice can be bangs.
    void add(const Sound& sound, bool is_call) noexcept;

    // No sound that starts before settled_s will be added any more.
    void release(double settled_s) noexcept;

    // The next one, in order of start.
    bool take(HeardNoise& out) noexcept;

    // None that starts before this will be given any more, when release(settled_s) was the last.
    double settled_until_s(double settled_s) const noexcept;

  private:
    struct Voice {
        double start_s = 0.0;
        double end_s = -1.0;
    };
    void put(const HeardNoise& noise) noexcept;
    bool is_a_voice(const HeardNoise& noise) const noexcept;

    NoiseRules rules_;
    std::array<HeardNoise, kMost> open_{}; // by start
    std::size_t open_count_ = 0;
    std::array<HeardNoise, kMost> ready_{};
    std::size_t ready_first_ = 0;
    std::size_t ready_count_ = 0;
    std::array<Voice, 32> voices_{}; // of the latest calls
    std::size_t next_voice_ = 0;
};

} // namespace quietpass
