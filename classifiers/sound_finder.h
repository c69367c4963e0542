// Device-rate samples in, sounds with their measures out. Used by Ear and by training, so that both see the
// same sounds.
//
// resample to 16 kHz → frames of 1024 samples every 256 (64 ms, 16 ms) → power spectra → floor per bin → a
// detector by level and one by tone → measures. Times are good to about 50 ms.
//
// Contract: the constructor allocates; process(), skip(), finish() and take() are noexcept and allocate
// nothing. The result depends only on the samples, never on how they were cut into blocks. Not thread-safe.
// At most kQueue sounds wait; when nobody takes them, the oldest are dropped and counted. Blocks of any size
// may be passed; take after each block of a second or less and none is lost.
#pragma once

#include <cstdint>
#include <memory>
#include <span>

#include "classifiers/segment_settings.h"
#include "classifiers/sound.h"

namespace quietpass {

class SoundFinder {
  public:
    static constexpr std::size_t kQueue = 256;

    // sample_rate_hz: 8000 … 192000; settings out of their ranges: std::invalid_argument.
    SoundFinder(double sample_rate_hz, const SegmentSettings& settings);
    ~SoundFinder();
    SoundFinder(SoundFinder&&) noexcept;
    SoundFinder& operator=(SoundFinder&&) noexcept;

    // samples: mono, full scale ±1, finite.
    void process(std::span<const float> samples) noexcept;

    // `count` samples were lost. A sound that was under way ends here; the floor is kept.
    void skip(std::int64_t count) noexcept;

    // No more samples will come: what is under way ends.
    void finish() noexcept;

    // The next sound, in order of start; false when there is none.
    bool take(Sound& out) noexcept;

    // A sound found by its tone that has ended and is measured, while take() must still wait for one that
    // began before it: told ahead of its turn, once. take() gives it again, unless it is found to be part of
    // another. For who can't wait; false when there is none.
    bool take_early(Sound& out) noexcept;

    // No sound that starts before this time will come any more, seconds.
    double settled_until_s() const noexcept;

    // Sounds dropped because nobody took them.
    std::uint64_t dropped() const noexcept;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
