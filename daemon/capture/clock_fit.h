// The running fit of a stream's sample index to monotonic time: t = origin + index / rate · (1 + drift).
//
// A stamp is taken when samples arrive, so it is never too early and often too late (callbacks come in
// bursts, a busy machine delays them). The fit therefore follows the lower edge of the stamps: the earliest
// of each 5 s, over the last 5 minutes, with the median of pairwise slopes (Theil 1950, Sen 1968) once they
// span a minute; before that the nominal rate. Usable from the first stamp.
//
// Units: index in samples of one channel, lost ones included; times in nanoseconds of Clock::monotonic_ns().
// Pure: no clock, no thread. One thread uses it.
#pragma once

#include <cstdint>
#include <deque>

namespace quietpass {

class ClockFit {
  public:
    explicit ClockFit(double nominal_rate_hz);

    // By `monotonic_ns`, `index` samples had arrived.
    void add(std::int64_t index, std::int64_t monotonic_ns);

    bool started() const { return !earliest_.empty(); }
    // When the sample `index` was at the microphone. Undefined before the first stamp.
    std::int64_t monotonic_ns_at(double index) const;
    // The inverse: how many samples there should be by now.
    double index_at(std::int64_t monotonic_ns) const;
    // How much later than the fit says these samples came, seconds; negative: earlier.
    double lateness_s(std::int64_t index, std::int64_t monotonic_ns) const;

    // How much slower (+) or faster (−) than its nominal rate the device's clock runs, parts per million.
    double drift_ppm() const { return drift_ * 1e6; }
    // A health figure: nine in ten of the 5 s minima lie within this of the fit, seconds.
    double error_s() const { return error_s_; }

  private:
    struct Point {
        double nominal_s = 0.0; // index / nominal rate
        double offset_s = 0.0;  // stamp − origin − nominal_s
    };

    double offset_at(double nominal_s) const { return offset_s_ + drift_ * (nominal_s - anchor_s_); }
    void refit();

    double rate_hz_;
    std::int64_t origin_ns_ = 0;
    std::deque<Point> earliest_; // one for each 5 s, the last one still open
    double bin_start_s_ = 0.0;
    double anchor_s_ = 0.0;
    double offset_s_ = 0.0;
    double drift_ = 0.0;
    double error_s_;
};

} // namespace quietpass
