// Makes clean edges of one input's raw changes: a level counts once it has held for debounce_s, and the
// edge's time is the moment that stretch began. A closed stretch that does not reach hold_s (measured between
// its edges) is none at all: neither its closing nor its opening comes out. Openings need no more than the
// debounce: what they cut in two is a touch and a touch. The input starts as open.
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
    // debounce_s, hold_s: 0 or more.
    explicit Debouncer(double debounce_s, double hold_s = 0.0) : debounce_s_(debounce_s), hold_s_(hold_s) {}

    // The raw input reads `closed` from time_s on. Returns the edge that this settles, if any (an earlier
    // one).
    std::optional<StableChange> change(double time_s, bool closed);

    // The raw input did not change before time_s. Returns the edge that this settles, if any.
    std::optional<StableChange> known_until(double time_s);

    // The input could not be read: a change that had not yet held long enough is forgotten.
    void lost();

    // No edge earlier than this will be returned any more, seconds.
    double known_until_s() const {
        if (touched_) return touched_s_;
        return raw_ != stable_ ? since_s_ : known_s_;
    }

    bool closed() const { return stable_ && !touched_; }

  private:
    bool raw_ = false;
    bool stable_ = false;  // raw, debounced
    bool touched_ = false; // stable_ is closed since touched_s_, and hasn't reached hold_s_ yet
    double debounce_s_;
    double hold_s_;
    double since_s_ = -1e300; // when raw_ began
    double touched_s_ = 0.0;
    double known_s_ = -1e300;
};

} // namespace quietpass
