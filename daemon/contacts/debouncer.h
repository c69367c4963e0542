// Makes clean edges of one input's raw changes: a level counts once it has held for debounce_s, and the
// edge's time is the moment that stretch began. The input starts as open.
//
// Clean input comes out as it went in, so debouncing twice is debouncing once: that lets the edges written
// down live be read back by `score`. Times are seconds, never decreasing; lengths are compared in whole
// microseconds, so that a level of 20 ms passes a debounce of 20 ms wherever it lies. Pure; not thread-safe;
// allocates nothing.
#pragma once

#include <optional>

namespace quietpass {

struct StableChange {
    double time_s = 0.0;
    bool closed = false;

    bool operator==(const StableChange&) const = default;
};

class Debouncer {
  public:
    // debounce_s: 0 or more.
    explicit Debouncer(double debounce_s) : debounce_s_(debounce_s) {}

    // The raw input reads `closed` from time_s on. Returns the edge that this settles, if any (an earlier
    // one).
    std::optional<StableChange> change(double time_s, bool closed);

    // The raw input did not change before time_s. Returns the edge that this settles, if any.
    std::optional<StableChange> known_until(double time_s);

    // The input could not be read: a change that had not yet held long enough is forgotten.
    void lost();

    // No edge earlier than this will be returned any more, seconds.
    double known_until_s() const { return raw_ != stable_ ? since_s_ : known_s_; }

    bool closed() const { return stable_; }

  private:
    bool raw_ = false;
    bool stable_ = false;
    double debounce_s_;
    double since_s_ = -1e300; // when raw_ began
    double known_s_ = -1e300;
};

} // namespace quietpass
