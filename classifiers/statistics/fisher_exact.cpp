#include "classifiers/statistics/fisher_exact.h"

#include <algorithm>
#include <numeric>
#include <stdexcept>
#include <vector>

namespace quietpass::statistics {

namespace {

void check(const Rate& rate) {
    if (rate.k < 0 || rate.n < rate.k) throw std::invalid_argument("fisher_exact: expected 0 <= k <= n");
}

// The probability of each number of vocal ones in `first`, the margins given.
struct Tables {
    std::int64_t fewest = 0;
    std::vector<double> likely; // of `fewest`, `fewest` + 1, …
};

// The hypergeometric distribution, from the likeliest table outwards by the ratio of neighbours: a library's
// density takes milliseconds for tens of thousands of animals, and there are thousands of tables.
Tables tables_of(const Rate& first, const Rate& second) {
    const std::int64_t vocal = first.k + second.k;
    const std::int64_t all = first.n + second.n;
    Tables tables;
    tables.fewest = std::max<std::int64_t>(0, vocal - second.n);
    const std::int64_t most = std::min(vocal, first.n);
    tables.likely.resize(static_cast<std::size_t>(most - tables.fewest + 1));
    const auto at = [&](std::int64_t k) -> double& {
        return tables.likely[static_cast<std::size_t>(k - tables.fewest)];
    };
    // How much likelier k + 1 is than k.
    const auto step = [&](std::int64_t k) {
        return static_cast<double>(vocal - k) * static_cast<double>(first.n - k) /
               (static_cast<double>(k + 1) * static_cast<double>(second.n - vocal + k + 1));
    };
    const double mode =
        static_cast<double>(first.n + 1) * static_cast<double>(vocal + 1) / static_cast<double>(all + 2);
    const std::int64_t likeliest = std::clamp(static_cast<std::int64_t>(mode), tables.fewest, most);
    at(likeliest) = 1.0;
    for (std::int64_t k = likeliest; k < most; ++k) at(k + 1) = at(k) * step(k);
    for (std::int64_t k = likeliest; k > tables.fewest; --k) at(k - 1) = at(k) / step(k - 1);
    const double sum = std::accumulate(tables.likely.begin(), tables.likely.end(), 0.0);
    for (double& likely : tables.likely) likely /= sum;
    return tables;
}

// The sum over the tables that `take` (vocal ones in `first`, probability, that of the table seen) takes.
template <typename Take>
double sum_over_tables(const Rate& first, const Rate& second, Take take) {
    check(first);
    check(second);
    const std::int64_t vocal = first.k + second.k;
    if (first.n == 0 || second.n == 0 || vocal == 0 || vocal == first.n + second.n) return 1.0;
    const Tables tables = tables_of(first, second);
    const double seen = tables.likely[static_cast<std::size_t>(first.k - tables.fewest)];
    double sum = 0.0;
    std::int64_t k = tables.fewest;
    for (const double likely : tables.likely) {
        if (take(k++, likely, seen)) sum += likely;
    }
    return std::min(1.0, sum);
}

} // namespace

double fisher_exact(const Rate& first, const Rate& second) {
    constexpr double kTie = 1.0 + 1e-7;
    return sum_over_tables(first, second,
                           [](std::int64_t, double likely, double seen) { return likely <= seen * kTie; });
}

double fisher_exact_more(const Rate& first, const Rate& second) {
    return sum_over_tables(first, second, [&](std::int64_t k, double, double) { return k >= first.k; });
}

} // namespace quietpass::statistics
