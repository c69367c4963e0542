#include "daemon/health/microphone_health.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>
#include <vector>

using namespace quietpass;

namespace {

constexpr double kHealthRate_hz = 16000.0;

std::vector<float> noise(double seconds, float amplitude) {
    std::mt19937 random(7);
    std::uniform_real_distribution<float> sample(-amplitude, amplitude);
    std::vector<float> samples(static_cast<std::size_t>(seconds * kHealthRate_hz));
    for (float& value : samples) value = sample(random);
    return samples;
}

void append(std::vector<float>& to, const std::vector<float>& more) {
    to.insert(to.end(), more.begin(), more.end());
}

std::vector<HealthFault> faults_of(const std::vector<float>& samples, std::size_t block) {
    MicrophoneHealth health(kHealthRate_hz, HealthSettings{});
    std::vector<HealthFault> faults;
    const auto take_all = [&] {
        HealthFault fault;
        while (health.take(fault)) {
            if (!faults.empty() && faults.back().cause == fault.cause &&
                faults.back().end_s == fault.start_s) {
                faults.back().end_s = fault.end_s;
            } else {
                faults.push_back(fault);
            }
        }
    };
    const std::span<const float> all(samples);
    for (std::size_t at = 0; at < all.size(); at += block) {
        health.process(all.subspan(at, std::min(block, all.size() - at)));
        take_all();
    }
    health.finish();
    take_all();
    return faults;
}

} // namespace

TEST_CASE("A quiet room is no fault and digital silence is one, from its start to its end") {
    std::vector<float> samples = noise(3.0, 0.001F); // about −60 dB
    append(samples, std::vector<float>(static_cast<std::size_t>(5 * kHealthRate_hz), 0.0F));
    append(samples, noise(3.0, 0.001F));
    const auto faults = faults_of(samples, 480);
    REQUIRE(faults.size() == 1);
    CHECK(faults[0].cause == GapCause::kSilent);
    CHECK(faults[0].start_s == Approx(3.0).margin(0.1));
    CHECK(faults[0].end_s == Approx(8.0).margin(0.1));
}

TEST_CASE("A dead capsule with a constant offset is silent all the same") {
    const std::vector<float> samples(static_cast<std::size_t>(4 * kHealthRate_hz), 0.25F);
    const auto faults = faults_of(samples, 480);
    REQUIRE(faults.size() == 1);
    CHECK(faults[0].cause == GapCause::kSilent);
}

TEST_CASE("A pause shorter than silent_after_s is no fault") {
    std::vector<float> samples = noise(2.0, 0.01F);
    append(samples, std::vector<float>(static_cast<std::size_t>(1.5 * kHealthRate_hz), 0.0F));
    append(samples, noise(2.0, 0.01F));
    CHECK(faults_of(samples, 480).empty());
}

TEST_CASE("A second that stands at full scale for a tenth of its samples is clipped, a few peaks are not") {
    std::vector<float> samples = noise(4.0, 0.3F);
    for (std::size_t i = 0; i < 40; ++i) samples[100 + 350 * i] = 1.0F;
    CHECK(faults_of(samples, 480).empty());
    for (std::size_t i = 0; i < 3200; ++i) samples[32000 + 4 * i] = i % 2 == 0 ? 1.0F : -1.0F;
    const auto faults = faults_of(samples, 480);
    REQUIRE(faults.size() == 1);
    CHECK(faults[0].cause == GapCause::kClipped);
    CHECK(faults[0].start_s == Approx(2.0));
    CHECK(faults[0].end_s == Approx(2.8));
}

TEST_CASE("Where in a second clipping begins makes no difference") {
    for (int tenths = 0; tenths < 10; ++tenths) {
        // A sixth of a second at full scale: were it judged by fixed seconds, some of these would be cut in
        // two.
        std::vector<float> samples = noise(5.0, 0.3F);
        const auto from = static_cast<std::size_t>((1.5 + 0.1 * tenths) * kHealthRate_hz);
        std::fill_n(samples.begin() + static_cast<std::ptrdiff_t>(from), 2700, 1.0F);
        const auto faults = faults_of(samples, 480);
        INFO(tenths);
        REQUIRE(faults.size() == 1);
        CHECK(faults[0].cause == GapCause::kClipped);
        CHECK(faults[0].start_s == Approx(1.5 + 0.1 * tenths));
        CHECK(faults[0].end_s == Approx(1.7 + 0.1 * tenths));
    }
}

TEST_CASE("What may yet be part of a clipped second isn't settled") {
    MicrophoneHealth health(kHealthRate_hz, HealthSettings{});
    health.process(noise(2.0, 0.3F));
    health.process(std::vector<float>(800, 1.0F)); // half of what makes a second clipped
    health.process(noise(0.75, 0.3F));
    CHECK(health.settled_until_s() <= 2.0);
    health.process(std::vector<float>(1600, 1.0F));
    HealthFault fault;
    REQUIRE(health.take(fault));
    CHECK(fault.start_s == Approx(2.0));
}

TEST_CASE("Faults don't depend on how the samples were cut into blocks") {
    std::vector<float> samples = noise(2.3, 0.2F);
    append(samples, std::vector<float>(static_cast<std::size_t>(2.7 * kHealthRate_hz), 0.0F));
    append(samples, std::vector<float>(static_cast<std::size_t>(1.9 * kHealthRate_hz), 1.0F));
    append(samples, noise(1.1, 0.2F));
    const auto reference = faults_of(samples, 1);
    REQUIRE(reference.size() >= 2);
    for (const std::size_t block : {7U, 480U, 1600U, 4096U, 100000U}) {
        const auto faults = faults_of(samples, block);
        REQUIRE(faults.size() == reference.size());
        for (std::size_t i = 0; i < faults.size(); ++i) {
            CHECK(faults[i].start_s == reference[i].start_s);
            CHECK(faults[i].end_s == reference[i].end_s);
            CHECK(faults[i].cause == reference[i].cause);
        }
    }
}

TEST_CASE("Silence does not reach across lost samples, and what is settled never goes back") {
    MicrophoneHealth health(kHealthRate_hz, HealthSettings{});
    const std::vector<float> silence(static_cast<std::size_t>(1.5 * kHealthRate_hz), 0.0F);
    double settled_s = 0.0;
    HealthFault fault;
    for (int i = 0; i < 3; ++i) {
        health.process(silence);
        CHECK(health.settled_until_s() >= settled_s);
        settled_s = health.settled_until_s();
        health.lose(1600);
    }
    CHECK_FALSE(health.take(fault));
    CHECK(health.settled_until_s() == Approx(4.8));
}
