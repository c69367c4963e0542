#include "daemon/contacts/gpio/gpio_source.h"

#include <catch2/catch.hpp>

#include "daemon/contacts/gpio/gpiod_lines.h"
#include "tests/contacts/contact_listener.h"
#include "tests/contacts/scripted_gpio.h"
#include "tests/contacts/test_station.h"

using namespace quietpass;

namespace {

using Kind = ContactEvent::Kind;

constexpr GpioTiming kQuick{0.005, 0.01, 0.05};

// A source of two contacts on lines 17 and 4 of a scripted chip.
struct Wired {
    Wired() {
        const std::vector<GpioInput> inputs = {{0, {"c", 17, GpioBias::kPullUp}}, {1, {"c", 4}}};
        source =
            std::make_unique<GpioSource>(0, inputs, std::make_unique<ScriptedGpioLines>(chip), clock, kQuick);
        source->start(listener);
        listener.await(Kind::kKnown);
    }

    std::vector<ContactEdge> edges() {
        source->stop();
        check_order(listener.events());
        return edges_from(listener.events(), station_with({Role::kEntered, Role::kStunned}, 0.0));
    }

    const RealClock clock;
    ScriptedChip chip;
    Listener listener;
    std::unique_ptr<GpioSource> source;
};

} // namespace

TEST_CASE("an edge of a line stands at the kernel's stamp", "[contacts]") {
    Wired wired;
    CHECK(wired.source->name() == "gpio:c");
    CHECK(wired.chip.taken().at(0).bias == GpioBias::kPullUp);
    const std::size_t from = wired.listener.count();
    const std::int64_t before_ns = wired.clock.monotonic_ns();
    wired.chip.set(4, true);
    const ContactEvent change = wired.listener.await_level(1, true, from);
    CHECK(change.contact == 1);
    CHECK(change.at_ns >= before_ns);
    CHECK(change.at_ns <= wired.clock.monotonic_ns());
    wired.listener.await(Kind::kKnown, wired.listener.count());
    CHECK(wired.edges().size() == 1);
}

TEST_CASE("edges that waited together come in the order of their stamps", "[contacts]") {
    Wired wired;
    const std::size_t from = wired.listener.count();
    const std::int64_t before_ns = wired.clock.monotonic_ns();
    wired.chip.set({{17, true, 1'000'000}, {4, true, 3'000'000}});
    const ContactEvent stun = wired.listener.await_level(1, true, from);
    const ContactEvent entered = wired.listener.await_level(0, true, from);
    CHECK(stun.at_ns >= before_ns - 3'000'000);
    CHECK(stun.at_ns <= entered.at_ns);
    wired.source->stop();
    check_order(wired.listener.events());
}

TEST_CASE("after a burst that overflowed the chip's queue the level is what the line shows", "[contacts]") {
    Wired wired;
    std::size_t from = wired.listener.count();
    // Of three changes the chip kept the first: by its edges line 17 is closed, in truth it is open.
    wired.chip.set({{17, true, 0}}, {{17, false}});
    wired.listener.await_level(0, true, from);
    CHECK(wired.listener.await_level(0, false, from).kind == Kind::kChange);
    // Both stand at about the same moment; with a debounce there is no edge at all.
    wired.source->stop();
    check_order(wired.listener.events());
}

TEST_CASE("a chip that is unplugged and plugged in again invents no edge, and the loss is told",
          "[contacts]") {
    Wired wired;
    wired.chip.set(17, true);
    wired.listener.await_level(0, true);
    std::size_t from = wired.listener.count();
    wired.chip.unplug(true);
    CHECK(wired.listener.await(Kind::kLost, from).why == "the script unplugged it");
    wired.chip.set(4, true);
    wired.chip.set(4, false);
    from = wired.listener.count();
    wired.chip.unplug(false);
    CHECK(wired.listener.await_level(0, true, from).after_loss);
    wired.listener.await(Kind::kKnown, from);
    CHECK(wired.edges().size() == 1);
}

TEST_CASE("a chip that this machine doesn't have is told as such", "[contacts]") {
    GpiodLines lines;
    CHECK_FALSE(lines.open({{"no-such-chip", 0}}));
    CHECK(lines.why().starts_with("chip no-such-chip can't be opened ("));
}
