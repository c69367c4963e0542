// How many animals it takes to show a difference of two shares, when Fisher's test is to find it.
//
// In: the two true shares; the two-sided level that counts as shown; the chance (power) with which a true
// difference of that size is to be found. Out: animals. Nothing where the shares are the same, and where the
// animals that are there on one side are too few for any number on the other.
//
// Errors: std::invalid_argument for shares outside 0 … 1, level or power outside (0, 1). Pure; any thread.
//
// Source: J. L. Fleiss, A. Tytun, H. K. Ury, Biometrics 36 (1980) 343 (normal approximation, unequal groups,
// the correction for Fisher's test), written down from memory; a test checks the power exactly.
#pragma once

#include <cstdint>
#include <optional>

namespace quietpass::statistics {

struct Showing {
    double level = 0.05;
    double power = 0.80;
};

// On each side.
std::optional<std::int64_t> animals_needed_each(double first_share, double second_share,
                                                const Showing& showing = {});

// On the second side, with `first_animals` on the first.
std::optional<std::int64_t> animals_needed_after(std::int64_t first_animals, double first_share,
                                                 double second_share, const Showing& showing = {});

} // namespace quietpass::statistics
