#include "daemon/clips/sound_ring.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "tests/dsp/allocation_counter.h"

using namespace quietpass;

namespace {

constexpr double kRate_hz = 1000.0;

// Sample i of a microphone is i and its number: each place in a cut says where it is from.
float sample(std::size_t microphone, std::int64_t index) {
    return static_cast<float>(index) * 1e-6F + static_cast<float>(microphone) * 0.5F;
}

struct Feed {
    explicit Feed(SoundRing& into) : ring(into), next(into.microphones(), 0) {}

    void hear(std::size_t microphone, std::int64_t count) {
        std::vector<float> samples;
        for (std::int64_t i = 0; i < count; ++i) samples.push_back(sample(microphone, next[microphone]++));
        ring.hear(microphone, samples);
    }
    void lose(std::size_t microphone, std::int64_t count) {
        ring.lose(microphone, count);
        next[microphone] += count;
    }

    SoundRing& ring;
    std::vector<std::int64_t> next;
};

} // namespace

TEST_CASE("A cut has the very samples, however the sound came in and however often the ring went round",
          "[clips]") {
    std::mt19937 random(5);
    SoundRing ring(std::vector{kRate_hz, kRate_hz}, 2.0);
    Feed feed(ring);
    std::vector<std::vector<bool>> lost(2);
    for (int step = 0; step < 400; ++step) {
        const std::int64_t count = 1 + static_cast<std::int64_t>(random() % 97);
        for (std::size_t microphone = 0; microphone < 2; ++microphone) {
            const bool loses = random() % 7 == 0;
            if (loses) feed.lose(microphone, count);
            if (!loses) feed.hear(microphone, count);
            lost[microphone].insert(lost[microphone].end(), static_cast<std::size_t>(count), loses);
        }
        const double until_s = ring.heard_until_s();
        const auto cut = ring.cut(until_s - 1.5, until_s - 0.25);
        if (until_s < 1.5) continue;
        REQUIRE(cut);
        REQUIRE(cut->frames == 1250);
        const auto first = std::llround(cut->start_s * kRate_hz);
        for (std::size_t microphone = 0; microphone < 2; ++microphone) {
            for (std::int64_t i = 0; i < 1250; ++i) {
                const float got = cut->channels[microphone].samples[static_cast<std::size_t>(i)];
                if (lost[microphone][static_cast<std::size_t>(first + i)]) {
                    REQUIRE(std::isnan(got));
                } else {
                    REQUIRE(got == sample(microphone, first + i));
                }
            }
        }
    }
}

TEST_CASE("What is asked for and not in memory any more is left off, and the cut says where it begins",
          "[clips]") {
    SoundRing ring(std::vector{kRate_hz}, 2.0);
    Feed feed(ring);
    for (int i = 0; i < 50; ++i) feed.hear(0, 100);
    const auto cut = ring.cut(1.0, 4.0);
    REQUIRE(cut);
    CHECK(cut->start_s == 3.0);
    CHECK(cut->frames == 1000);
    CHECK(cut->channels[0].samples.front() == sample(0, 3000));
    CHECK_FALSE(ring.cut(0.0, 3.0));
    CHECK_FALSE(ring.cut(5.0, 6.0));
    CHECK(ring.cut(4.5, 9.0)->frames == 500);
}

TEST_CASE("A block longer than the ring leaves its end there", "[clips]") {
    SoundRing ring(std::vector{kRate_hz}, 1.0);
    Feed feed(ring);
    feed.hear(0, 300);
    feed.hear(0, 2500);
    const auto cut = ring.cut(0.0, 2.8);
    REQUIRE(cut);
    CHECK(cut->start_s == Approx(1.8));
    for (std::int64_t i = 0; i < 1000; ++i)
        REQUIRE(cut->channels[0].samples[static_cast<std::size_t>(i)] == sample(0, 1800 + i));
}

TEST_CASE("A loss of hours leaves nothing of before", "[clips]") {
    SoundRing ring(std::vector{kRate_hz}, 1.0);
    Feed feed(ring);
    feed.hear(0, 700);
    feed.lose(0, 10'000'000);
    feed.hear(0, 100);
    const auto cut = ring.cut(10'000.0, 10'000.8);
    REQUIRE(cut);
    REQUIRE(cut->frames == 800);
    CHECK(std::isnan(cut->channels[0].samples[699]));
    CHECK(cut->channels[0].samples[700] == sample(0, 10'000'700));
}

TEST_CASE("Microphones of other clocks are placed in the first one's time", "[clips]") {
    SoundRing ring(std::vector{kRate_hz, 2000.0}, 4.0);
    Feed feed(ring);
    ring.place(1, 0.5); // its sample 0 was heard at station second 0.5
    feed.hear(0, 3000);
    feed.hear(1, 5000);
    const auto cut = ring.cut(1.0, 2.0);
    REQUIRE(cut);
    CHECK(cut->channels[0].samples.size() == 1000);
    REQUIRE(cut->channels[1].samples.size() == 2000);
    CHECK(cut->channels[1].samples[0] == sample(1, 1000));
    // Before it began it heard nothing.
    const auto start = ring.cut(0.0, 1.0);
    CHECK(std::isnan(start->channels[1].samples[999]));
    CHECK(start->channels[1].samples[1000] == sample(1, 0));
}

TEST_CASE("A microphone that lags is waited for, one that went away is not", "[clips]") {
    SoundRing ring(std::vector{kRate_hz, kRate_hz}, 20.0);
    Feed feed(ring);
    feed.hear(0, 3000);
    feed.hear(1, 1000);
    CHECK(ring.heard_until_s() == 1.0);
    feed.hear(0, 9000);
    CHECK(ring.heard_until_s() == 12.0 - SoundRing::kWait_s);
    const auto cut = ring.cut(2.0, 7.0);
    REQUIRE(cut);
    CHECK(std::isnan(cut->channels[1].samples.front()));
}

TEST_CASE("Hearing and losing allocate nothing", "[clips]") {
    SoundRing ring(std::vector{48000.0, 48000.0}, 5.0);
    const std::vector<float> block(4800, 0.25F);
    const auto before = allocations_so_far();
    for (int i = 0; i < 200; ++i) {
        ring.hear(0, block);
        ring.lose(1, 4800);
    }
    CHECK(allocations_so_far() == before);
}
