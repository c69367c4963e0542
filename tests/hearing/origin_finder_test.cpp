#include "daemon/hearing/origin_finder.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "tests/dsp/signals.h"

using namespace quietpass;

namespace {

constexpr double kRate_hz = 16000.0;
constexpr std::size_t kLead = 32000;
const MicrophonePair kHeardPair{
    .near = 0, .far = 1, .near_m = 0.0, .far_m = 7.0, .entrance_m = 3.0, .one_clock = true};

// Two seconds of noise, then a second and a half with a call that comes delay_s late and gain loud.
std::vector<float> call_in_noise(double gain, double delay_s, std::uint32_t seed, double noise = 0.01) {
    std::vector<float> samples = signals::noise(kLead + 24000, noise, seed);
    for (std::size_t n = kLead; n < samples.size(); ++n) {
        const double t = static_cast<double>(n - kLead) / kRate_hz - delay_s;
        if (t < 0.0) continue;
        const double phase =
            2.0 * std::numbers::pi * (150.0 * t - 6.0 * std::cos(2.0 * std::numbers::pi * t));
        double voice = 0.0;
        for (int h = 1; h < 16; ++h) voice += std::sin(h * phase + h * h) / h;
        samples[n] += static_cast<float>(gain * voice);
    }
    return samples;
}

OriginEvidence measured(const std::vector<float>& near, const std::vector<float>& far,
                        const MicrophonePair& pair = kHeardPair) {
    OriginFinder finder(pair, 60.0, 4000.0);
    const auto evidence = finder.measure(near, far, kLead);
    REQUIRE(evidence);
    return *evidence;
}

} // namespace

TEST_CASE("level difference and delay of a waiting animal's call are measured") {
    const OriginEvidence e = measured(call_in_noise(0.02, 0.019, 1), call_in_noise(0.05, 0.0, 2));
    CHECK(e.louder_db == Approx(8.0).margin(0.5));
    CHECK(e.clearer_db == Approx(8.0).margin(1.0));
    CHECK(e.waiting_delay_s == Approx(-0.019).margin(0.0001));
    CHECK(e.waiting_height > 2.0 * e.restraint_height);
    CHECK(judge_origin(kHeardPair, e).origin == Origin::kWaiting);
}

TEST_CASE("and those of the restrained animal's") {
    const OriginEvidence e = measured(call_in_noise(0.05, 0.0, 1), call_in_noise(0.015, 0.016, 2));
    CHECK(e.louder_db == Approx(-10.5).margin(1.0));
    CHECK(e.restraint_delay_s == Approx(0.016).margin(0.0001));
    CHECK(judge_origin(kHeardPair, e).origin == Origin::kRestraint);
}

TEST_CASE("another gain of the far microphone makes no restrained animal a waiting one") {
    std::vector<float> far = call_in_noise(0.015, 0.016, 2);
    for (float& sample : far) sample *= 10.0F;
    const OriginEvidence e = measured(call_in_noise(0.05, 0.0, 1), far);
    CHECK(e.louder_db > 8.0);
    CHECK(e.clearer_db < -8.0);
    CHECK(judge_origin(kHeardPair, e).origin == Origin::kRestraint);
}

TEST_CASE("a call that one microphone doesn't hear at all is measured by the other") {
    const OriginEvidence far_only = measured(call_in_noise(0.0, 0.0, 1), call_in_noise(0.05, 0.0, 2));
    CHECK(far_only.louder_db > 6.0);
    CHECK(judge_origin(kHeardPair, far_only).origin == Origin::kWaiting);
    const OriginEvidence near_only = measured(call_in_noise(0.05, 0.0, 1), call_in_noise(0.0, 0.0, 2));
    CHECK(judge_origin(kHeardPair, near_only).origin != Origin::kWaiting);
}

TEST_CASE("on two clocks no delay is used") {
    MicrophonePair pair = kHeardPair;
    pair.one_clock = false;
    const OriginEvidence e = measured(call_in_noise(0.02, 0.019, 1), call_in_noise(0.05, 0.0, 2), pair);
    CHECK_FALSE(e.has_delay);
    CHECK(judge_origin(pair, e).origin == Origin::kWaiting);
    CHECK_FALSE(judge_origin(pair, e).by_delay);
}

TEST_CASE("a bang before the call raises no background") {
    std::vector<float> near = call_in_noise(0.02, 0.019, 1);
    std::vector<float> far = call_in_noise(0.05, 0.0, 2);
    const std::vector<float> bang = signals::noise(6000, 0.5, 3);
    for (std::size_t n = 0; n < bang.size(); ++n) {
        near[kLead - 10000 + n] += bang[n];
        far[kLead - 10000 + n] += bang[n];
    }
    const OriginEvidence e = measured(near, far);
    CHECK(e.louder_db == Approx(8.0).margin(1.0));
}

TEST_CASE("a clatter up the race that outlasts the call makes no waiting animal of the restrained one") {
    // The call is over after half a second; the clatter is louder and earlier up the race, for a second.
    std::vector<float> near = call_in_noise(0.05, 0.0, 1);
    std::vector<float> far = call_in_noise(0.015, 0.016, 2);
    const std::vector<float> quiet_near = call_in_noise(0.0, 0.0, 1);
    const std::vector<float> quiet_far = call_in_noise(0.0, 0.0, 2);
    const std::vector<float> clatter = signals::noise(18000, 0.3, 3);
    for (std::size_t n = kLead + 8000; n < near.size(); ++n) {
        near[n] = quiet_near[n];
        far[n] = quiet_far[n];
    }
    for (std::size_t n = 0; n < 16000; ++n) {
        near[kLead + 6000 + n + 304] += 0.3F * clatter[n];
        far[kLead + 6000 + n] += clatter[n];
    }
    OriginFinder finder(kHeardPair, 60.0, 4000.0);
    const auto e = finder.measure(near, far, kLead, OriginFinder::HeardAt::kNear, 150.0);
    REQUIRE(e);
    CHECK(e->louder_db < -6.0);
    CHECK(judge_origin(kHeardPair, *e).origin != Origin::kWaiting);
}

TEST_CASE("nothing is said without a background, of a dead microphone, or of what stands out nowhere") {
    OriginFinder finder(kHeardPair, 60.0, 4000.0);
    const std::vector<float> near = call_in_noise(0.05, 0.0, 1);
    const std::vector<float> dead(near.size(), 0.0F);
    CHECK_FALSE(finder.measure(near, dead, kLead));
    CHECK_FALSE(finder.measure(dead, near, kLead));
    CHECK_FALSE(finder.measure(near, near, OriginFinder::kLeastLead - 1));
    CHECK_FALSE(finder.measure(near, near, near.size() - 100));
    const std::vector<float> still = signals::noise(near.size(), 0.01, 5);
    const auto nothing = finder.measure(still, signals::noise(near.size(), 0.01, 6), kLead);
    CHECK_FALSE(nothing);
}
