#include <catch2/catch.hpp>
#include <memory>
#include <mutex>
#include <string>
#include <utility>
#include <vector>

#include "daemon/alarms/delivery/coil_line.h"
#include "daemon/alarms/delivery/gpio_line.h"
#include "daemon/alarms/delivery/relay_channel.h"
#include "tests/alarms/delivery/coil_device.h"
#include "tests/alarms/delivery/delivery_rig.h"
#include "tests/alarms/delivery/sample_message.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

// An output that fails when a test says so, and keeps what it was set to.
class FakeLine final : public OutputLine {
  public:
    struct Seen {
        std::mutex mutex;
        std::vector<bool> levels;
        std::string failure;
    };
    explicit FakeLine(std::shared_ptr<Seen> seen) : seen_(std::move(seen)) {}
    std::string set(bool on) override {
        const std::lock_guard lock(seen_->mutex);
        if (!seen_->failure.empty()) return seen_->failure;
        seen_->levels.push_back(on);
        return {};
    }

  private:
    std::shared_ptr<Seen> seen_;
};

CoilAddress coil_of(const CoilDevice& device, int number) {
    CoilAddress address;
    address.host = "127.0.0.1";
    address.port = device.port();
    address.number = number;
    return address;
}

struct Lamp {
    explicit Lamp(std::vector<std::string> the_severities = {}, bool inverted = false)
        : severities(std::move(the_severities)) {
        relay.output = "modbus://127.0.0.1/unit/1/coil/3";
        relay.inverted = inverted;
        relay.reassert_s = 0.02;
        start();
    }
    void start() {
        // The channel asks what stands; the rig makes that from the outbox.
        auto calls = [this] { return rig.standing->calls(severities, {}); };
        rig.start(quick_plan("lamp", std::make_unique<RelayChannel>(
                                         relay, std::make_unique<CoilLine>(coil_of(device, 3), 0.5), calls)));
    }
    void put(const std::string& event, const std::string& alarm, const std::string& severity = "at_once") {
        rig.delivery->put(sample_message("m-" + std::to_string(++messages), event, alarm, severity));
    }
    // Nothing waits, and the state was written once more since.
    bool settled_at(bool on) {
        return rig.await_all_done() && device.await_writes(device.writes() + 2) && device.coil(3) == on;
    }

    CoilDevice device;
    RelaySettings relay;
    std::vector<std::string> severities;
    DeliveryRig rig;
    int messages = 0;
};

} // namespace

TEST_CASE("the lamp is on while an alarm calls, and off when all are acknowledged or cleared", "[delivery]") {
    Lamp lamp;
    lamp.put("raised", "a");
    CHECK(lamp.settled_at(true));
    lamp.put("raised", "b");
    lamp.put("acknowledged", "a");
    CHECK(lamp.settled_at(true));
    lamp.put("cleared", "b");
    CHECK(lamp.settled_at(false));
    lamp.put("again", "a");
    CHECK(lamp.settled_at(true));
    lamp.put("cleared", "a");
    CHECK(lamp.settled_at(false));
}

TEST_CASE("the lamp is for the severities that were chosen", "[delivery]") {
    Lamp lamp({"at_once"});
    lamp.put("raised", "a", "soon");
    CHECK(lamp.settled_at(false));
    lamp.put("raised", "b", "at_once");
    CHECK(lamp.settled_at(true));
    lamp.put("cleared", "b");
    CHECK(lamp.settled_at(false));
}

TEST_CASE("an inverted output is on while no alarm calls", "[delivery]") {
    Lamp lamp({}, true);
    CHECK(lamp.settled_at(true));
    lamp.put("raised", "a");
    CHECK(lamp.settled_at(false));
}

TEST_CASE("a device that was killed and started again has the lamp as it stands, also what changed meanwhile",
          "[delivery]") {
    Lamp lamp;
    lamp.put("raised", "a");
    REQUIRE(lamp.settled_at(true));
    lamp.device.kill();
    lamp.device.start();
    CHECK(lamp.settled_at(true));

    lamp.device.kill();
    lamp.put("cleared", "a");
    REQUIRE(await([&] { return !lamp.rig.delivery->states()[0].error.empty(); }));
    CHECK(lamp.rig.waiting() == 1);
    lamp.device.start();
    CHECK(lamp.settled_at(false));
}

TEST_CASE("after a restart of the daemon the lamp shows what stood before", "[delivery]") {
    Lamp lamp;
    lamp.put("raised", "a");
    lamp.put("raised", "b");
    lamp.put("acknowledged", "b");
    REQUIRE(lamp.settled_at(true));
    lamp.rig.stop();
    lamp.device.kill();
    lamp.device.start();
    lamp.start();
    CHECK(lamp.settled_at(true));
    lamp.put("acknowledged", "a");
    CHECK(lamp.settled_at(false));
}

TEST_CASE("an output that fails tells why, and is written when it works", "[delivery]") {
    const auto seen = std::make_shared<FakeLine::Seen>();
    seen->failure = "the chip can't be opened";
    bool calls = true;
    RelayChannel channel({}, std::make_unique<FakeLine>(seen), [&calls] { return calls; });
    const std::atomic<bool> stop{false};
    const HandOver failed = channel.hand_over(sample_message("m-1"), stop);
    CHECK(failed.result == HandOver::Result::kUnreachable);
    CHECK(failed.what == "the chip can't be opened");
    CHECK(channel.tend(stop) == "the chip can't be opened");
    seen->failure.clear();
    CHECK(channel.hand_over(sample_message("m-1"), stop).result == HandOver::Result::kDone);
    calls = false;
    CHECK(channel.tend(stop).empty());
    CHECK(seen->levels == std::vector<bool>{true, false});
}

TEST_CASE("a lamp's test switches it on and leaves it as the alarms stand", "[delivery]") {
    const auto seen = std::make_shared<FakeLine::Seen>();
    RelaySettings settings;
    settings.test_for_s = 0.01;
    bool calls = false;
    RelayChannel channel(settings, std::make_unique<FakeLine>(seen), [&calls] { return calls; });
    const std::atomic<bool> stop{false};
    CHECK(channel.test(sample_message("t", "test"), stop).what == "switched on and off");
    CHECK(seen->levels.front());
    CHECK_FALSE(seen->levels.back());
    calls = true;
    CHECK(channel.test(sample_message("t", "test"), stop).what ==
          "switched on, and left on: an alarm stands");
    CHECK(seen->levels.back());
}

TEST_CASE("a GPIO chip that isn't there is named as the trouble", "[delivery]") {
    GpioLine line({"gpiochip77", 4});
    CHECK(line.set(true) == "the chip can't be opened (No such file or directory)");
    CHECK(line.set(false) == "the chip can't be opened (No such file or directory)");
}
