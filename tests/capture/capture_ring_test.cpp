#include "daemon/capture/capture_ring.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <thread>
#include <vector>

using quietpass::CapturedPacket;
using quietpass::CaptureRing;

TEST_CASE("What does not fit in the ring is counted and told before the next packet that fits") {
    CaptureRing ring(2, 100);
    const std::vector<float> samples(2 * 80, 0.25F);
    ring.push(samples.data(), 80, 10, false);
    ring.push(samples.data(), 80, 20, false); // 20 fit
    ring.push(samples.data(), 80, 30, true);  // none fits
    CapturedPacket packet;
    REQUIRE(ring.pop(packet));
    CHECK(packet.frames == 80);
    CHECK(packet.samples.size() == 160);
    REQUIRE(ring.pop(packet));
    CHECK(packet.frames == 20);
    CHECK(packet.dropped_before == 0);
    CHECK_FALSE(ring.pop(packet));
    ring.push(samples.data(), 5, 40, false);
    REQUIRE(ring.pop(packet));
    CHECK(packet.frames == 5);
    CHECK(packet.dropped_before == 60 + 80);
    CHECK(packet.overflowed);
    CHECK(packet.stamp_ns == 40);
    CHECK(ring.last_push_ns() == 40);
    CHECK(ring.overflow_flags() == 1);
}

TEST_CASE("Frames that PortAudio has no samples for count as dropped") {
    CaptureRing ring(1, 100);
    const std::vector<float> samples(10, 0.5F);
    ring.push(nullptr, 30, 1, false);
    ring.push(samples.data(), 10, 2, false);
    CapturedPacket packet;
    REQUIRE(ring.pop(packet));
    CHECK(packet.dropped_before == 30);
    CHECK(packet.frames == 10);
}

TEST_CASE("Every sample pushed by one thread is popped in order by another, or counted") {
    CaptureRing ring(1, 512);
    constexpr std::int64_t kFrames = 400'000;
    std::thread callback([&] {
        std::vector<float> part(100);
        for (std::int64_t at = 0; at < kFrames; at += 100) {
            for (std::size_t i = 0; i < part.size(); ++i)
                part[i] = static_cast<float>(at + static_cast<std::int64_t>(i));
            ring.push(part.data(), part.size(), at + 1, false);
        }
    });
    std::int64_t index = 0;
    std::int64_t heard = 0;
    bool right = true;
    CapturedPacket packet;
    const auto take_all = [&] {
        while (ring.pop(packet)) {
            index += packet.dropped_before;
            for (const float sample : packet.samples) right = right && sample == static_cast<float>(index++);
            heard += packet.frames;
        }
    };
    while (ring.last_push_ns() < kFrames - 100 + 1) take_all();
    callback.join();
    take_all();
    CHECK(right);
    CHECK(heard > 0);
    CHECK(index <= kFrames);
}
