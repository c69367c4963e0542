// When something happened by our Clock, from a small controller's own milliseconds: a running fit of the
// least delay.
//
// A line is stamped when its input changed and comes some time later, never earlier: ours − theirs is the
// offset between the clocks plus the delay. The least of it over the last kWindow_s is taken for the offset,
// so what comes out is late by the least delay of a line (on a wire about its length: under a millisecond on
// TCP, 2 ms at 115200 baud) and no more. A clock that runs off by 100 ppm costs 0.8 ms; a ceramic resonator,
// off by up to 0.5 % (from memory), 40 ms. Stamps wrap at 2³². Pure.
#pragma once

#include <cstdint>
#include <deque>
#include <optional>

namespace quietpass {

class ControllerClock {
  public:
    static constexpr double kWindow_s = 8.0;

    // most_late_s: a line that comes later than this after its stamp, by the fit, has another clock.
    explicit ControllerClock(double most_late_s);

    // A line with this stamp came at came_ns. When it was stamped, by our clock, at most came_ns; nothing
    // when the stamp doesn't fit the ones before: the controller was started again, and the fit begins anew
    // with this line.
    std::optional<std::int64_t> at(std::uint32_t stamp_ms, std::int64_t came_ns);

    // The controller is another, or was started again.
    void reset();

  private:
    struct Least {
        std::int64_t begun_ns = 0; // by our clock
        std::int64_t offset_ns = 0;
    };

    void add(std::int64_t offset_ns, std::int64_t came_ns);
    std::int64_t offset_ns() const;

    std::int64_t most_late_ns_;
    std::deque<Least> least_; // one for each second
    std::uint32_t last_ms_ = 0;
    std::int64_t theirs_ns_ = 0; // last_ms_ with its wraps
};

} // namespace quietpass
