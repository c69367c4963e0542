// Has the share of vocal passages risen? The cumulative sum (CUSUM) of a yes or no for each passage: it steps
// up at a vocal passage and down at a silent one, never below zero, and signals at its limit.
//
// The steps are the log-likelihood ratios of the raised share p1 against the usual share p0 (Page 1954;
// Reynolds and Stoumbos 1999), ln(p1/p0) up and ln((1 − p0)/(1 − p1)) down, put on a lattice: their ratio is
// taken as up/down in whole numbers that is within kStepTolerance of it. So the sum is a finite Markov chain
// and its run lengths are exact for the very sum that runs here, not approximated.
//
// Shares are 0 … 1, run lengths in passages. Pure; not thread-safe.
#pragma once

namespace quietpass {

inline constexpr double kStepTolerance = 0.001;

// Steps and limit in units of the lattice. The sum signals when it is at the limit or above.
struct CusumDesign {
    int up = 0;
    int down = 0;
    int limit = 0;
    double passages_between_false_alarms =
        0.0;                        // mean run length at p0, from zero: exact, at least the wished
    double passages_to_alarm = 0.0; // mean run length at p1, from zero: exact
};

// The steps alone; limit 0. Needs 0 < p0 < p1 < 1.
CusumDesign cusum_steps(double usual_share, double raised_share);

// The mean number of passages from zero to the signal when this share is vocal: from the chain's own
// equations, L(s) = 1 + p·L(s + up) + (1 − p)·L(max(0, s − down)). Infinite at share 0.
double cusum_run_length(const CusumDesign& design, double share);

// The lowest limit with at least `wished` passages between false alarms on average.
CusumDesign design_cusum(double usual_share, double raised_share, double wished);

class BernoulliCusum {
  public:
    explicit BernoulliCusum(const CusumDesign& design) : design_(design) {}

    // True: it signals, and begins anew at zero.
    bool add(bool vocal) {
        level_ += vocal ? design_.up : -design_.down;
        if (level_ < 0) level_ = 0;
        if (level_ < design_.limit) return false;
        level_ = 0;
        return true;
    }

    int level() const { return level_; }
    const CusumDesign& design() const { return design_; }

  private:
    CusumDesign design_;
    int level_ = 0;
};

} // namespace quietpass
