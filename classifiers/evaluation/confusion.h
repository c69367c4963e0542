// What was judged against what was true, counted: the four cells of a 2×2 table and what is read from them.
//
// A rate is k of n; without any n there is no rate. Kappa: J. Cohen, Educ. Psychol. Meas. 20 (1960) 37; it
// falls with the share of the rarer answer at the same agreement, so it never stands without PABAK
// (prevalence-adjusted, bias-adjusted kappa = 2 · agreement − 1): T. Byrt, J. Bishop, J. B. Carlin, J. Clin.
// Epidemiol. 46 (1993) 423. Pure; any thread.
#pragma once

#include <cstdint>
#include <optional>

namespace quietpass::evaluation {

struct Rate {
    std::int64_t k = 0;
    std::int64_t n = 0;

    std::optional<double> value() const;
};

struct Confusion {
    std::int64_t true_positives = 0;  // a call, and called one
    std::int64_t false_negatives = 0; // a call that was missed
    std::int64_t false_positives = 0; // none, but called one
    std::int64_t true_negatives = 0;

    void add(bool is_call, bool called, std::int64_t times = 1);
    void add(const Confusion& other, std::int64_t times = 1);

    std::int64_t positives() const { return true_positives + false_negatives; }
    std::int64_t negatives() const { return false_positives + true_negatives; }
    std::int64_t all() const { return positives() + negatives(); }

    Rate sensitivity() const { return {true_positives, positives()}; }
    Rate specificity() const { return {true_negatives, negatives()}; }
    Rate precision() const { return {true_positives, true_positives + false_positives}; }
    Rate agreement() const { return {true_positives + true_negatives, all()}; }

    // 2·TP / (2·TP + FP + FN); nothing when there was no call and none was called.
    std::optional<double> f1() const;
    // Nothing when chance alone would agree on everything (one answer was never given by either side).
    std::optional<double> kappa() const;
    std::optional<double> pabak() const;
};

} // namespace quietpass::evaluation
