// The Wilson score interval of a share: which true shares are compatible with k vocal animals of n.
//
// In: 0 <= k <= n, confidence in (0, 1), two-sided.
//
// Out: fractions 0 … 1, or nothing for n = 0, because nothing seen says nothing.
//
// Errors: std::invalid_argument for k or confidence out of range. Pure; any thread. Animals of one lot are
// not independent, so the interval is narrower than the truth: say so where it is shown.
//
// Source: E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209; method 3 of R. G. Newcombe, Stat. Med. 17 (1998)
// 857.
#pragma once

#include <cstdint>
#include <optional>

namespace quietpass {

inline constexpr double kUsualConfidence = 0.95;

struct Interval {
    double low = 0.0;
    double high = 1.0;
};

std::optional<Interval> wilson_interval(std::int64_t k, std::int64_t n, double confidence = kUsualConfidence);

} // namespace quietpass
