#include "daemon/contacts/line/controller_clock.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace quietpass;

namespace {

constexpr std::int64_t kMillisecond_ns = 1'000'000;

// A controller that was started at start_ns of our clock, with its clock fast by drift.
struct Controller {
    std::int64_t start_ns = 5'000'000'000;
    double drift = 0.0;
    std::uint32_t first_ms = 0;

    std::uint32_t stamp(std::int64_t now_ns) const {
        const double ms = static_cast<double>(now_ns - start_ns) * (1.0 + drift) / 1e6;
        return first_ms + static_cast<std::uint32_t>(std::llround(ms));
    }
};

// How far off the stamps of a minute of lines are, at worst, after the first second.
double worst_ms(const Controller& controller) {
    ControllerClock clock(3.0);
    std::mt19937 random(7);
    std::exponential_distribution<double> delay_ms(1.0 / 20.0);
    double worst = 0.0;
    std::int64_t came_before_ns = 0;
    for (int line = 0; line < 600; ++line) {
        const std::int64_t stamped_ns = controller.start_ns + line * 100 * kMillisecond_ns;
        // 1 ms at least, 20 ms more on the average; lines can't overtake each other.
        const auto delay_ns = static_cast<std::int64_t>((1.0 + delay_ms(random)) * 1e6);
        const std::int64_t came_ns = std::max(came_before_ns, stamped_ns + delay_ns);
        came_before_ns = came_ns;
        const auto at_ns = clock.at(controller.stamp(stamped_ns), came_ns);
        REQUIRE(at_ns);
        CHECK(*at_ns <= came_ns);
        if (line > 20) worst = std::max(worst, std::abs(static_cast<double>(*at_ns - stamped_ns)) / 1e6);
    }
    return worst;
}

} // namespace

TEST_CASE("a stamp is found again within milliseconds though lines come tens of them late", "[contacts]") {
    CHECK(worst_ms({}) < 5.0);
}

TEST_CASE("a controller's crystal and its wrap of milliseconds don't disturb the fit", "[contacts]") {
    CHECK(worst_ms({.drift = 100e-6}) < 6.0);
    CHECK(worst_ms({.drift = -100e-6}) < 6.0);
    CHECK(worst_ms({.first_ms = 4'294'967'295U - 30'000}) < 5.0);
}

TEST_CASE("a ceramic resonator's clock is followed within what its window costs", "[contacts]") {
    CHECK(worst_ms({.drift = 5e-3}) < 50.0);
    CHECK(worst_ms({.drift = -5e-3}) < 50.0);
}

TEST_CASE("a controller that was started again is seen by its clock, and followed from then on",
          "[contacts]") {
    ControllerClock clock(3.0);
    const Controller first{.start_ns = 0};
    for (std::int64_t now_ns = 0; now_ns < 100'000 * kMillisecond_ns; now_ns += 100 * kMillisecond_ns) {
        REQUIRE(clock.at(first.stamp(now_ns), now_ns + kMillisecond_ns));
    }
    const Controller second{.start_ns = 101'000 * kMillisecond_ns};
    const std::int64_t now_ns = 101'500 * kMillisecond_ns;
    CHECK_FALSE(clock.at(second.stamp(now_ns), now_ns + kMillisecond_ns));
    const auto at_ns = clock.at(second.stamp(now_ns + 10 * kMillisecond_ns), now_ns + 11 * kMillisecond_ns);
    REQUIRE(at_ns);
    CHECK(*at_ns == now_ns + 11 * kMillisecond_ns);
}
