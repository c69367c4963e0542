#include "daemon/alarms/delivery/relay_channel.h"

#include <thread>

namespace quietpass {

RelayChannel::RelayChannel(RelaySettings settings, std::unique_ptr<OutputLine> line,
                           std::function<bool()> calls)
    : settings_(std::move(settings)), line_(std::move(line)), calls_(std::move(calls)) {}

std::string RelayChannel::show() {
    return line_->set(calls_() != settings_.inverted);
}

HandOver RelayChannel::hand_over(const AlarmMessage& /*message*/, const std::atomic<bool>& /*stop*/) {
    std::string error = show();
    return error.empty() ? HandOver::done() : HandOver::unreachable(std::move(error));
}

std::optional<std::chrono::nanoseconds> RelayChannel::tend_every() const {
    return std::chrono::duration_cast<std::chrono::nanoseconds>(
        std::chrono::duration<double>(settings_.reassert_s));
}

std::string RelayChannel::tend(const std::atomic<bool>& /*stop*/) {
    return show();
}

HandOver RelayChannel::test(const AlarmMessage& /*message*/, const std::atomic<bool>& stop) {
    using RealTime = std::chrono::steady_clock;
    const auto until = RealTime::now() + std::chrono::duration_cast<RealTime::duration>(
                                             std::chrono::duration<double>(settings_.test_for_s));
    // A daemon that runs writes what stands every now and then: so on again and again.
    while (RealTime::now() < until && !stop.load()) {
        const std::string error = line_->set(!settings_.inverted);
        if (!error.empty()) return HandOver::unreachable(error);
        std::this_thread::sleep_for(
            std::min<RealTime::duration>(std::chrono::milliseconds(100), until - RealTime::now()));
    }
    const std::string error = show();
    if (!error.empty()) return HandOver::unreachable("switched on, and then: " + error);
    return HandOver::done(calls_() ? "switched on, and left on: an alarm stands" : "switched on and off");
}

} // namespace quietpass
