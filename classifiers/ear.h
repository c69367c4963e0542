// The whole hearing of one microphone: device-rate samples in, judged calls out. resample → frames → floor →
// sounds → measures → scorecard.
//
// Contract: everything is allocated by the constructor; process() and skip() are noexcept and allocate
// nothing. The result depends only on the samples, never on how they were cut into blocks. Not thread-safe:
// one thread drives one Ear. Times are seconds of the sample clock, counted from the first sample, skipped
// samples included.
#pragma once

#include <cstdint>
#include <memory>
#include <span>

#include "classifiers/heard_call.h"
#include "classifiers/heard_noise.h"
#include "classifiers/profile.h"

namespace quietpass {

class Ear {
  public:
    // sample_rate_hz: 8000 … 192000, else std::invalid_argument.
    Ear(double sample_rate_hz, const Profile& profile);
    ~Ear();
    Ear(Ear&&) noexcept;
    Ear& operator=(Ear&&) noexcept;

    // samples: mono, full scale ±1, finite.
    void process(std::span<const float> samples) noexcept;

    // `count` samples were lost. A sound that was under way ends here; the floor is kept.
    void skip(std::int64_t count) noexcept;

    // No more samples will come: what is under way ends.
    void finish() noexcept;

    // Takes the next call, oldest first (by start). False when there is none. `out`'s string is filled here,
    // outside process(), so that process() need not allocate.
    bool take(HeardCall& out);

    // What was judged to be a call, as soon as it was: before others that may still turn out to be one with
    // it are known. In order of known_at_s. take() gives the call itself; several first words may become one
    // call. Take after each second of samples; of more than 32 that wait the oldest are dropped.
    struct FirstWord {
        HeardCall heard; // without reasons
        double known_at_s = 0.0;
    };
    bool take_first_word(FirstWord& out);

    // The next bang or hiss, in order of start.
    bool take(HeardNoise& out) noexcept;

    // No call that starts before this time will come any more, seconds.
    double settled_until_s() const noexcept;
    // The same of noises.
    double noises_settled_until_s() const noexcept;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
