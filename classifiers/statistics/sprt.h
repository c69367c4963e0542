// A sequential audit: after each animal, whether the vocal ones so far are few enough to accept `low_share`,
// enough to accept `high_share`, or neither yet.
//
// In: shares 0 < low < high < 1; alpha, the chance to say high when low is true; beta, the other error. Out:
// two parallel lines over the number of animals: low is accepted at slope·n − accept_below vocal ones or
// fewer, high at slope·n + reject_above or more. Errors: std::invalid_argument. Plain values; any thread.
//
// Source: A. Wald, Sequential Analysis (1947), section 5.3.
#pragma once

#include <cstdint>

namespace quietpass::statistics {

enum class SequentialAnswer { kGoOn, kLow, kHigh };

class Sprt {
  public:
    Sprt(double low_share, double high_share, double alpha, double beta);

    SequentialAnswer after(std::int64_t vocal, std::int64_t animals) const;

    double accept_below() const { return accept_below_; } // h1
    double reject_above() const { return reject_above_; } // h2
    double slope() const { return slope_; }
    // The fewest animals, none of them vocal, that accept the low share.
    std::int64_t earliest_accept() const;

  private:
    double accept_below_;
    double reject_above_;
    double slope_;
};

} // namespace quietpass::statistics
