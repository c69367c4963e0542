#include "daemon/capture/clock_fit.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "daemon/capture/utc_fit.h"

using quietpass::ClockFit;
using quietpass::UtcFit;

namespace {

constexpr double kRateHz = 48000.0;
constexpr std::int64_t kStartNs = 1'000'000'000'000;
constexpr std::int64_t kPacket = 3600;

// A device whose clock is `drift_ppm` slow, heard by callbacks that are late by what `lateness_s` says.
template <typename Lateness>
ClockFit fit_after(double seconds, double drift_ppm, Lateness lateness_s) {
    ClockFit fit(kRateHz);
    for (std::int64_t index = kPacket; static_cast<double>(index) < seconds * kRateHz; index += kPacket) {
        const double true_s = static_cast<double>(index) / kRateHz * (1.0 + drift_ppm * 1e-6);
        fit.add(index, kStartNs + static_cast<std::int64_t>((true_s + lateness_s(true_s)) * 1e9));
    }
    return fit;
}

double true_ns(double index, double drift_ppm) {
    return static_cast<double>(kStartNs) + index / kRateHz * (1.0 + drift_ppm * 1e-6) * 1e9;
}

} // namespace

TEST_CASE("The first stamp is enough for a fit at the nominal rate") {
    ClockFit fit(kRateHz);
    CHECK_FALSE(fit.started());
    fit.add(48000, kStartNs + 1'000'000'000);
    CHECK(fit.started());
    CHECK(fit.monotonic_ns_at(0.0) == kStartNs);
    CHECK(fit.monotonic_ns_at(96000.0) == kStartNs + 2'000'000'000);
    CHECK(fit.index_at(kStartNs + 3'000'000'000) == Approx(144000.0));
}

TEST_CASE("A drift of 50 ppm is found within 5 ppm under 20 ms of jitter") {
    for (const double drift_ppm : {50.0, -50.0, 0.0}) {
        std::mt19937 random(7);
        std::exponential_distribution<double> jitter_s(1.0 / 0.004);
        const ClockFit fit =
            fit_after(400.0, drift_ppm, [&](double) { return std::min(jitter_s(random), 0.020); });
        CHECK(std::abs(fit.drift_ppm() - drift_ppm) < 5.0);
        CHECK(fit.error_s() < 0.001);
        const double index = 399.0 * kRateHz;
        CHECK(std::abs(static_cast<double>(fit.monotonic_ns_at(index)) - true_ns(index, drift_ppm)) < 1e6);
    }
}

TEST_CASE("Bursts of late callbacks do not move the fit") {
    // Every 20 s everything comes up to 2 s late for a while, as when a machine writes out its disk cache.
    const ClockFit fit = fit_after(300.0, 50.0, [](double at_s) {
        const double in_cycle_s = std::fmod(at_s, 20.0);
        return in_cycle_s < 2.0 ? 2.0 - in_cycle_s : 0.0;
    });
    CHECK(std::abs(fit.drift_ppm() - 50.0) < 5.0);
    const double index = 299.0 * kRateHz;
    CHECK(std::abs(static_cast<double>(fit.monotonic_ns_at(index)) - true_ns(index, 50.0)) < 1e6);
}

TEST_CASE("A quarter of the 5 s stretches late throughout do not move the fit") {
    const ClockFit fit =
        fit_after(300.0, 50.0, [](double at_s) { return std::fmod(at_s, 40.0) < 10.0 ? 0.030 : 0.0; });
    CHECK(std::abs(fit.drift_ppm() - 50.0) < 5.0);
    const double index = 295.0 * kRateHz;
    CHECK(std::abs(static_cast<double>(fit.monotonic_ns_at(index)) - true_ns(index, 50.0)) < 2e6);
}

TEST_CASE("A first callback that was late is forgotten at the first that is not") {
    const ClockFit fit = fit_after(1.0, 0.0, [](double at_s) { return at_s < 0.3 ? 0.2 : 0.0; });
    CHECK(std::abs(static_cast<double>(fit.monotonic_ns_at(0.0) - kStartNs)) < 1e6);
}

TEST_CASE("Index to time and time to index are inverses") {
    const ClockFit fit = fit_after(200.0, 80.0, [](double) { return 0.0; });
    for (const double index : {0.0, 1.0, 48000.0, 9.6e6, 1e9}) {
        CHECK(std::abs(fit.index_at(fit.monotonic_ns_at(index)) - index) < 0.01);
    }
}

TEST_CASE("UTC is followed slowly, so that times of a shift do not jump") {
    UtcFit fit(1'000, 5'000'000'000'001'000);
    CHECK(fit.utc_ns_at(2'000) == 5'000'000'000'002'000);
    CHECK(fit.monotonic_ns_at(5'000'000'000'002'000) == 2'000);
    const std::int64_t ten_s = 10'000'000'000;
    fit.follow(1'000 + ten_s, 5'000'000'000'001'000 + ten_s + 100'000'000); // 0.1 s ahead
    const std::int64_t moved_ns = fit.utc_ns_at(0) - 5'000'000'000'000'000;
    CHECK(moved_ns == 5'000'000); // 500 ppm of 10 s
    CHECK(fit.error_s() == Approx(0.1));
}

TEST_CASE("A clock that was set is believed when three looks agree, and not before") {
    UtcFit fit(0, 0);
    const std::int64_t hour_ns = 3'600'000'000'000;
    for (int look = 1; look <= 3; ++look) {
        CHECK(fit.utc_ns_at(0) == 0);
        fit.follow(look * 1'000'000'000LL, look * 1'000'000'000LL + hour_ns);
    }
    CHECK(fit.utc_ns_at(0) == hour_ns);
}
