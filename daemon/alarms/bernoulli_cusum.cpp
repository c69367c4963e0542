#include "daemon/alarms/bernoulli_cusum.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <stdexcept>
#include <vector>

namespace quietpass {

namespace {

// A finer lattice than this makes no difference to anyone.
constexpr int kMostDown = 64;

} // namespace

CusumDesign cusum_steps(double usual_share, double raised_share) {
    if (!(usual_share > 0.0 && raised_share > usual_share && raised_share < 1.0)) {
        throw std::invalid_argument("cusum_steps: expected 0 < usual < raised < 1");
    }
    const double up = std::log(raised_share / usual_share);
    const double down = std::log((1.0 - usual_share) / (1.0 - raised_share));
    const double ratio = up / down;
    CusumDesign best;
    double best_error = std::numeric_limits<double>::infinity();
    for (int steps = 1; steps <= kMostDown && best_error > kStepTolerance; ++steps) {
        const double whole = std::max(std::round(ratio * steps), 1.0);
        const double error = std::abs(whole / steps / ratio - 1.0);
        if (error >= best_error) continue;
        best_error = error;
        best.up = static_cast<int>(whole);
        best.down = steps;
    }
    return best;
}

// Gauss elimination of a band matrix: from row i, `up` columns to the right and `down` to the left. Without
// pivoting: the matrix is diagonally dominant (I minus a substochastic matrix).
double cusum_run_length(const CusumDesign& design, double share) {
    if (!(share > 0.0)) return std::numeric_limits<double>::infinity();
    const auto up = static_cast<std::size_t>(design.up);
    const auto down = static_cast<std::size_t>(design.down);
    const auto states = static_cast<std::size_t>(design.limit);
    const std::size_t width = up + 1;
    std::vector<double> upper(states * width, 0.0); // upper[i·width + d]: row i, column i + d
    std::vector<double> right(states, 1.0);
    std::vector<double> row(down + width); // of state i, from column i − down
    for (std::size_t i = 0; i < states; ++i) {
        std::fill(row.begin(), row.end(), 0.0);
        const std::size_t lower = std::min(i, down);
        row[down] = 1.0;
        row[down - lower] -= 1.0 - share;
        if (i + up < states) row[down + up] -= share;
        for (std::size_t back = lower; back > 0; --back) {
            const double factor = row[down - back];
            if (factor == 0.0) continue;
            const double* const above = &upper[(i - back) * width];
            for (std::size_t d = 0; d < width; ++d) row[down - back + d] -= factor * above[d];
            right[i] -= factor * right[i - back];
        }
        const double pivot = row[down];
        for (std::size_t d = 0; d < width; ++d) upper[i * width + d] = row[down + d] / pivot;
        right[i] /= pivot;
    }
    for (std::size_t i = states; i-- > 0;) {
        for (std::size_t d = 1; d < width && i + d < states; ++d)
            right[i] -= upper[i * width + d] * right[i + d];
    }
    return right.front();
}

CusumDesign design_cusum(double usual_share, double raised_share, double wished) {
    CusumDesign design = cusum_steps(usual_share, raised_share);
    const auto enough = [&](int limit) {
        design.limit = limit;
        return cusum_run_length(design, usual_share) >= wished;
    };
    int too_low = 0; // below one step up every vocal passage signals
    int high = design.up;
    while (!enough(high)) {
        too_low = high;
        high += design.up;
    }
    while (high - too_low > 1) {
        const int middle = too_low + (high - too_low) / 2;
        (enough(middle) ? high : too_low) = middle;
    }
    design.limit = high;
    design.passages_between_false_alarms = cusum_run_length(design, usual_share);
    design.passages_to_alarm = cusum_run_length(design, raised_share);
    return design;
}

} // namespace quietpass
