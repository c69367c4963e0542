// Run lengths of the Bernoulli CUSUM: against closed forms, against the chain followed passage by passage,
// against the theory's approximation and against simulation.
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include "daemon/alarms/bernoulli_cusum.h"

using namespace quietpass;

namespace {

// The mean run length as the sum of the chances to be still running after 0, 1, 2 … passages.
double followed_run_length(const CusumDesign& design, double share) {
    std::vector<double> at(static_cast<std::size_t>(design.limit), 0.0);
    std::vector<double> next(at.size());
    at[0] = 1.0;
    double mean = 0.0;
    for (double running = 1.0; running > 1e-10;) {
        mean += running;
        std::fill(next.begin(), next.end(), 0.0);
        running = 0.0;
        for (int level = 0; level < design.limit; ++level) {
            const double here = at[static_cast<std::size_t>(level)];
            const int down = std::max(level - design.down, 0);
            next[static_cast<std::size_t>(down)] += here * (1.0 - share);
            if (level + design.up < design.limit)
                next[static_cast<std::size_t>(level + design.up)] += here * share;
        }
        for (const double chance : next) running += chance;
        at.swap(next);
    }
    return mean;
}

struct Simulated {
    double mean = 0.0;
    double standard_error = 0.0;
    std::int64_t runs = 0;
};

// Run lengths of whatever says "signal" for each of so many passages.
template <typename Add>
Simulated simulate(std::uint64_t seed, std::int64_t passages, double share, Add add) {
    std::mt19937_64 random(seed);
    const auto vocal_below = static_cast<std::uint64_t>(share * 0x1p64);
    double sum = 0.0;
    double squares = 0.0;
    std::int64_t runs = 0;
    std::int64_t start = 0;
    for (std::int64_t passage = 1; passage <= passages; ++passage) {
        if (!add(random() < vocal_below)) continue;
        const auto length = static_cast<double>(passage - start);
        sum += length;
        squares += length * length;
        ++runs;
        start = passage;
    }
    const double mean = sum / static_cast<double>(runs);
    const double variance = squares / static_cast<double>(runs) - mean * mean;
    return {mean, std::sqrt(variance / static_cast<double>(runs)), runs};
}

} // namespace

TEST_CASE("From 2 to 5 % the steps are those of the log-likelihood ratio, +.9163 and -.03109") {
    // Computed from the definition, ln(5/2) and ln(.95/.98).
    CHECK(std::log(0.05 / 0.02) == Approx(0.9163).margin(5e-5));
    CHECK(std::log(0.95 / 0.98) == Approx(-0.03109).margin(5e-6));
    const CusumDesign steps = cusum_steps(0.02, 0.05);
    CHECK(static_cast<double>(steps.up) / steps.down == Approx(0.9163 / 0.03109).epsilon(kStepTolerance));
}

TEST_CASE("A limit that one vocal passage reaches gives the mean wait for a vocal passage") {
    for (const double share : {0.01, 0.05, 0.3}) {
        CHECK(cusum_run_length({.up = 59, .down = 2, .limit = 59}, share) ==
              Approx(1.0 / share).epsilon(1e-9));
        CHECK(cusum_run_length({.up = 7, .down = 1, .limit = 1}, share) == Approx(1.0 / share).epsilon(1e-9));
    }
}

TEST_CASE("A limit one above a step up gives the wait for two vocal passages near each other") {
    // A second vocal passage signals when fewer than `up` silent ones came between: each wait is 1/p long,
    // and the number of waits after the first is geometric with 1 − (1 − p)^up.
    for (const int up : {5, 30}) {
        for (const double share : {0.01, 0.05, 0.3}) {
            const double near = 1.0 - std::pow(1.0 - share, up);
            CHECK(cusum_run_length({.up = up, .down = 1, .limit = up + 1}, share) ==
                  Approx((1.0 + 1.0 / near) / share).epsilon(1e-9));
        }
    }
}

TEST_CASE("The equations' run lengths are those of the chain followed passage by passage") {
    for (const auto& [usual, raised] :
         {std::pair(0.02, 0.05), std::pair(0.01, 0.10), std::pair(0.05, 0.10)}) {
        const CusumDesign design = design_cusum(usual, raised, 400.0);
        for (const double share : {usual, raised}) {
            CHECK(cusum_run_length(design, share) ==
                  Approx(followed_run_length(design, share)).epsilon(1e-6));
        }
    }
}

TEST_CASE("The limit is the lowest one with the wished passages between false alarms") {
    for (const double wished : {200.0, 5000.0}) {
        const CusumDesign design = design_cusum(0.02, 0.05, wished);
        CHECK(design.passages_between_false_alarms >= wished);
        CHECK(design.passages_between_false_alarms == Approx(cusum_run_length(design, 0.02)));
        CHECK(design.passages_to_alarm == Approx(cusum_run_length(design, 0.05)));
        CusumDesign lower = design;
        lower.limit -= 1;
        CHECK(cusum_run_length(lower, 0.02) < wished);
    }
}

TEST_CASE("Long run lengths are within 2 % of the corrected diffusion approximation") {
    // Reynolds and Stoumbos 1999, from memory: with B = sum in units of one vocal passage's r2,
    // (exp(h r2) − h r2 − 1) / |r2 p0 − r1|, h = h_B + ε(p0) √(p0 q0).
    for (const auto& [usual, raised] : {std::pair(0.02, 0.05), std::pair(0.012, 0.03)}) {
        const CusumDesign design = design_cusum(usual, raised, 5000.0);
        const double r1 = std::log((1.0 - usual) / (1.0 - raised));
        const double r2 = std::log(raised * (1.0 - usual) / (usual * (1.0 - raised)));
        const double log_p = std::log(usual);
        const double epsilon = 0.410 - 0.0842 * log_p - 0.0391 * std::pow(log_p, 3) -
                               0.00376 * std::pow(log_p, 4) - 0.000008 * std::pow(log_p, 7);
        const double h = static_cast<double>(design.limit) / (design.up + design.down) +
                         epsilon * std::sqrt(usual * (1.0 - usual));
        const double approximate = (std::exp(h * r2) - h * r2 - 1.0) / std::abs(r2 * usual - r1);
        CHECK(design.passages_between_false_alarms == Approx(approximate).epsilon(0.02));
    }
}

TEST_CASE("A million simulated passages give the exact run lengths within their Monte-Carlo error") {
    for (const double wished : {500.0, 5000.0}) {
        const CusumDesign design = design_cusum(0.02, 0.05, wished);
        for (const double share : {0.02, 0.05, 0.10}) {
            BernoulliCusum cusum(design);
            const Simulated found =
                simulate(4, 1'000'000, share, [&](bool vocal) { return cusum.add(vocal); });
            INFO("wished " << wished << ", share " << share << ": " << found.mean << " ± "
                           << found.standard_error << " of " << found.runs << " runs");
            CHECK(std::abs(found.mean - cusum_run_length(design, share)) < 3.0 * found.standard_error);
        }
    }
}

TEST_CASE("The lattice is as good as the sum of the unrounded steps: run lengths within 2 %") {
    const CusumDesign design = design_cusum(0.02, 0.05, 500.0);
    const double up = std::log(0.05 / 0.02);
    const double down = std::log(0.98 / 0.95);
    const double limit = design.limit * up / design.up;
    for (const double share : {0.02, 0.05}) {
        double level = 0.0;
        const Simulated found = simulate(5, 20'000'000, share, [&](bool vocal) {
            level = std::max(level + (vocal ? up : -down), 0.0);
            if (level < limit * (1.0 - 1e-9)) return false;
            level = 0.0;
            return true;
        });
        INFO(found.mean << " ± " << found.standard_error);
        CHECK(found.standard_error < 0.006 * found.mean);
        CHECK(found.mean == Approx(cusum_run_length(design, share)).epsilon(0.02));
    }
}
