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

    // No call that starts before this time will come any more, seconds.
    double settled_until_s() const noexcept;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
