#include "daemon/capture/loss_finder.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

using namespace quietpass;

namespace {

constexpr double kSmallRateHz = 1000.0; // small, so that a minute is quick; the finder knows only seconds
constexpr std::int64_t kSmallPacket = 75;

// A device that counts up, and the stretches that come out.
class Rig {
  public:
    // `device_frames` of the device's time pass; their samples come at the end of it, late by late_s.
    void deliver(double late_s = 0.0, bool overflowed = false, std::int64_t dropped = 0) {
        CapturedPacket packet;
        device_ += dropped;
        for (std::int64_t i = 0; i < kSmallPacket; ++i)
            packet.samples.push_back(static_cast<float>(device_++));
        packet.frames = kSmallPacket;
        packet.dropped_before = dropped;
        packet.overflowed = overflowed;
        packet.stamp_ns = now_ns() + static_cast<std::int64_t>(late_s * 1e9);
        finder_.take(std::move(packet));
        collect();
    }
    void deliver_seconds(double seconds) {
        for (double left_s = seconds; left_s > 0.0; left_s -= kSmallPacket / kSmallRateHz) deliver();
    }
    void skip(std::int64_t frames) { device_ += frames; }
    void lose_stream() {
        finder_.stream_lost();
        collect();
    }
    void wait_for_device() {
        finder_.lost_until(now_ns());
        collect();
    }
    CapturedPacket packet_of(float value) {
        CapturedPacket packet;
        packet.samples.assign(kSmallPacket, value);
        packet.frames = kSmallPacket;
        device_ += kSmallPacket;
        packet.stamp_ns = now_ns();
        return packet;
    }
    void take(CapturedPacket packet) {
        finder_.take(std::move(packet));
        collect();
    }

    std::int64_t device() const { return device_; }
    double fit_error_s() const { return finder_.fit().error_s(); }
    std::int64_t index() const { return index_; }
    bool in_order() const { return in_order_; }
    const std::vector<Stretch>& losses() const { return losses_; }
    // How far the index of the last sample heard is from its true one.
    std::int64_t last_error() const { return last_error_; }

  private:
    std::int64_t now_ns() const {
        return 5'000'000'000 + static_cast<std::int64_t>(static_cast<double>(device_) / kSmallRateHz * 1e9);
    }
    void collect() {
        Stretch stretch;
        while (finder_.next(stretch)) {
            in_order_ = in_order_ && stretch.first_index == index_ && stretch.count > 0;
            index_ += stretch.count;
            if (stretch.kind == Stretch::Kind::kLoss) {
                losses_.push_back(stretch);
            } else {
                last_error_ = index_ - 1 - static_cast<std::int64_t>(stretch.samples.back());
            }
        }
    }

    LossFinder finder_{kSmallRateHz, 1};
    std::int64_t device_ = 0;
    std::int64_t index_ = 0;
    std::int64_t last_error_ = 0;
    bool in_order_ = true;
    std::vector<Stretch> losses_;
};

} // namespace

TEST_CASE("A stream in time passes at once and unchanged") {
    Rig rig;
    rig.deliver_seconds(30.0);
    CHECK(rig.index() == rig.device());
    CHECK(rig.losses().empty());
    CHECK(rig.last_error() == 0);
}

TEST_CASE("A burst after a pause loses nothing") {
    Rig rig;
    rig.deliver_seconds(10.0);
    for (int i = 0; i < 40; ++i)
        rig.deliver(3.0 - i * kSmallPacket / kSmallRateHz); // a pause of 3 s, then all at once
    rig.deliver_seconds(10.0);
    CHECK(rig.index() == rig.device());
    CHECK(rig.losses().empty());
    CHECK(rig.last_error() == 0);
}

TEST_CASE("Half a minute that waited somewhere and comes at once is late and not lost") {
    // As from a buffer of a sound server, to a process that got no processor meanwhile.
    Rig rig;
    rig.deliver_seconds(10.0);
    for (double late_s = 30.0; late_s > 0.0; late_s -= kSmallPacket / kSmallRateHz) rig.deliver(late_s);
    rig.deliver_seconds(20.0);
    CHECK(rig.losses().empty());
    CHECK(rig.index() == rig.device());
    CHECK(rig.in_order());
    CHECK(rig.fit_error_s() < 0.05); // the stamps of the burst have no part in the fit
}

TEST_CASE(
    "Of half a minute without processor only what the device kept is heard, the rest is one loss of its "
    "size") {
    Rig rig;
    rig.deliver_seconds(10.0);
    rig.skip(28'000);
    for (double late_s = 2.0; late_s > 0.0; late_s -= kSmallPacket / kSmallRateHz) rig.deliver(late_s);
    rig.deliver_seconds(20.0);
    REQUIRE(rig.losses().size() == 1);
    CHECK(std::abs(static_cast<double>(rig.losses()[0].count) - 30'000.0) < 2'100.0);
    CHECK(std::abs(static_cast<double>(rig.index() - rig.device())) < 60.0);
}

TEST_CASE("Whatever the lateness, a stream that lost nothing has no loss") {
    for (unsigned seed = 0; seed < 200; ++seed) {
        Rig rig;
        std::mt19937 random(seed);
        std::uniform_real_distribution<double> uniform(0.0, 1.0);
        double free_s = 0.0; // callbacks can't overtake one another: the machine is busy until then
        double at_s = 0.0;
        for (int i = 0; i < 400; ++i) {
            at_s += kSmallPacket / kSmallRateHz;
            if (at_s > free_s + 0.2 && uniform(random) < 0.05) free_s = at_s + uniform(random) * 2.0;
            rig.deliver(std::max(free_s - at_s, 0.0) + uniform(random) * 0.010);
        }
        rig.deliver_seconds(6.0);
        REQUIRE(rig.losses().empty());
        REQUIRE(rig.in_order());
        REQUIRE(rig.index() == rig.device());
    }
}

TEST_CASE("Skipped samples that nobody told of are found, sized and placed") {
    for (const std::int64_t missing : {100, 500, 5500, 25000}) {
        Rig rig;
        rig.deliver_seconds(20.0);
        const std::int64_t hole = rig.device();
        rig.skip(missing);
        rig.deliver_seconds(20.0);
        REQUIRE(rig.losses().size() == 1);
        CHECK(rig.losses()[0].cause == GapCause::kOverrun);
        CHECK(rig.losses()[0].first_index == hole);
        CHECK(std::abs(rig.losses()[0].count - missing) <= 2);
        CHECK(std::abs(rig.last_error()) <= 2);
        CHECK(rig.in_order());
    }
}

TEST_CASE("When a burst and a hole come together the whole burst is lost") {
    Rig rig;
    rig.deliver_seconds(20.0);
    const std::int64_t before = rig.device();
    for (int i = 0; i < 20; ++i)
        rig.deliver(3.0 - i * kSmallPacket / kSmallRateHz); // 1.5 s were kept of a pause of 3 s
    rig.skip(1500);
    rig.deliver_seconds(20.0);
    REQUIRE(rig.losses().size() == 1);
    CHECK(rig.losses()[0].first_index == before);
    CHECK(rig.losses()[0].count >= 2950);
    CHECK(rig.losses()[0].count <= 3050);
    CHECK(std::abs(rig.last_error()) <= 2);
}

TEST_CASE("An overflow flag makes a loss of the size that the clock shows, at the flag") {
    Rig rig;
    rig.deliver_seconds(20.0);
    const std::int64_t hole = rig.device();
    rig.skip(20); // less than lateness alone would show
    rig.deliver(0.0, true);
    rig.deliver_seconds(5.0);
    REQUIRE(rig.losses().size() == 1);
    CHECK(rig.losses()[0].first_index == hole);
    CHECK(std::abs(rig.losses()[0].count - 20) <= 2);
    CHECK(rig.losses()[0].cause == GapCause::kOverrun);
}

TEST_CASE(
    "An overflow flag without a visible hole is a loss of one sample, so that the passage is not covered") {
    Rig rig;
    rig.deliver_seconds(20.0);
    rig.deliver(0.0, true);
    rig.deliver_seconds(5.0);
    REQUIRE(rig.losses().size() == 1);
    CHECK(rig.losses()[0].count == 1);
}

TEST_CASE("Two flags close together are two losses") {
    Rig rig;
    rig.deliver_seconds(20.0);
    rig.skip(200);
    rig.deliver(0.0, true);
    rig.deliver();
    rig.skip(300);
    rig.deliver(0.0, true);
    rig.deliver_seconds(5.0);
    REQUIRE(rig.losses().size() == 2);
    CHECK(std::abs(rig.losses()[0].count - 200) <= 2);
    CHECK(std::abs(rig.losses()[1].count - 300) <= 3);
    CHECK(std::abs(rig.last_error()) <= 3);
}

TEST_CASE("What the ring dropped is a loss of exactly that") {
    Rig rig;
    rig.deliver_seconds(10.0);
    const std::int64_t hole = rig.device();
    rig.deliver(0.0, false, 333);
    rig.deliver_seconds(10.0);
    REQUIRE(rig.losses().size() == 1);
    CHECK(rig.losses()[0].first_index == hole);
    CHECK(rig.losses()[0].count == 333);
    CHECK(rig.last_error() == 0);
}

TEST_CASE("While the device is away time goes on, and its return is placed by the clock") {
    Rig rig;
    rig.deliver_seconds(20.0);
    const std::int64_t hole = rig.device();
    rig.lose_stream();
    for (int i = 0; i < 60; ++i) {
        rig.skip(100);
        rig.wait_for_device();
        CHECK(rig.index() <= rig.device());
        if (i > 20) CHECK(rig.index() > rig.device() - 1100);
    }
    rig.deliver_seconds(3.0);
    std::int64_t lost = 0;
    for (const Stretch& loss : rig.losses()) {
        CHECK(loss.cause == GapCause::kUnplugged);
        lost += loss.count;
    }
    CHECK(std::abs(lost - 6000) <= 2);
    CHECK(rig.losses().front().first_index == hole);
    CHECK(std::abs(rig.last_error()) <= 2);
    CHECK(rig.in_order());
}

TEST_CASE(
    "What waited while the device was away and comes with its return stays lost; time is right at once") {
    Rig rig;
    rig.deliver_seconds(10.0);
    rig.lose_stream();
    rig.skip(20'000);
    rig.wait_for_device(); // 20 s away, told as lost up to shortly before now
    const std::int64_t before = rig.device();
    rig.skip(-8'000); // the last 8 s of it come with the return
    for (double late_s = 8.0; late_s > 0.0; late_s -= kSmallPacket / kSmallRateHz) rig.deliver(late_s);
    CHECK(rig.device() >= before);
    rig.deliver_seconds(20.0);
    CHECK(std::abs(static_cast<double>(rig.index() - rig.device())) < 100.0);
    CHECK(rig.in_order());
    CHECK(std::abs(static_cast<double>(rig.last_error())) < 100.0);
    CHECK(rig.fit_error_s() < 0.1);
}

TEST_CASE("Samples that are not finite numbers are a loss of that many, never heard") {
    for (const float bad :
         {std::numeric_limits<float>::quiet_NaN(), -std::numeric_limits<float>::infinity()}) {
        Rig rig;
        rig.deliver_seconds(1.0);
        const std::int64_t at = rig.device();
        CapturedPacket packet = rig.packet_of(0.5F);
        for (std::size_t i = 10; i < 30; ++i) packet.samples[i] = bad;
        packet.samples[74] = bad;
        rig.take(std::move(packet));
        REQUIRE(rig.losses().size() == 2);
        CHECK(rig.losses()[0].first_index == at + 10);
        CHECK(rig.losses()[0].count == 20);
        CHECK(rig.losses()[1].first_index == at + 74);
        CHECK(rig.losses()[1].count == 1);
        CHECK(rig.index() == rig.device());
    }
}

TEST_CASE("A frame with one bad channel is lost in all channels") {
    LossFinder finder(kSmallRateHz, 2);
    CapturedPacket packet;
    packet.frames = 3;
    packet.samples = {1.0F, 2.0F, 3.0F, std::numeric_limits<float>::quiet_NaN(), 5.0F, 6.0F};
    packet.stamp_ns = 1;
    finder.take(std::move(packet));
    Stretch stretch;
    REQUIRE(finder.next(stretch));
    CHECK(stretch.channel(1)[0] == 2.0F);
    REQUIRE(finder.next(stretch));
    CHECK(stretch.kind == Stretch::Kind::kLoss);
    CHECK(stretch.count == 1);
    REQUIRE(finder.next(stretch));
    CHECK(stretch.first_index == 2);
    CHECK(stretch.channel(0)[0] == 5.0F);
    CHECK(stretch.channel(1)[0] == 6.0F);
    CHECK(finder.heard() == 2);
    CHECK(finder.lost() == 1);
}
