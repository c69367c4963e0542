// One place that alarms are handed to. Everything of a channel is called on one thread, its own, and may
// wait: at most about as long as its settings say for a try. `stop`, set from another thread, ends the
// waiting early.
//
// hand_over() returns kDone only when the receiver acknowledged, in its own way, that it has the message.
// After anything else the message is handed over again, with the same id, so a receiver that had it and could
// not say so sees it twice and can tell by the id.
#pragma once

#include <atomic>
#include <chrono>
#include <memory>
#include <optional>
#include <string>

#include "daemon/alarms/alarm_message.h"

namespace quietpass {

struct HandOver {
    enum class Result {
        kDone,
        kRefused,     // the receiver answered and did not take this message; others may go through
        kUnreachable, // no answer, or none to anyone: the channel waits
    };
    Result result = Result::kUnreachable;
    std::string what; // one line without secrets; what went wrong, or what the receiver said

    static HandOver done(std::string said = {}) { return {Result::kDone, std::move(said)}; }
    static HandOver refused(std::string why) { return {Result::kRefused, std::move(why)}; }
    static HandOver unreachable(std::string why) { return {Result::kUnreachable, std::move(why)}; }
};

class DeliveryChannel {
  public:
    DeliveryChannel() = default;
    DeliveryChannel(const DeliveryChannel&) = delete;
    DeliveryChannel& operator=(const DeliveryChannel&) = delete;
    virtual ~DeliveryChannel() = default;

    // Where it goes, for people, without secrets: "https://host", "/opt/call".
    virtual std::string place() const = 0;

    virtual HandOver hand_over(const AlarmMessage& message, const std::atomic<bool>& stop) = 0;

    // Called after the outcome of a hand-over was written down: time for goodbyes that the receiver may
    // delay.
    virtual void rest() {}

    // Channels that keep a state at the receiver are tended this often, also while no message comes; tend()
    // returns what is wrong, empty when all is well.
    virtual std::optional<std::chrono::nanoseconds> tend_every() const { return std::nullopt; }
    virtual std::string tend(const std::atomic<bool>& /*stop*/) { return {}; }

    // For `alarms test`; by default the message is handed over like any other.
    virtual HandOver test(const AlarmMessage& message, const std::atomic<bool>& stop) {
        return hand_over(message, stop);
    }
};

} // namespace quietpass
