#include "daemon/alarms/delivery/delivery_lane.h"

#include <algorithm>
#include <cstdio>
#include <utility>

#include "daemon/alarms/delivery/standing_alarms.h"

namespace quietpass {

namespace {

constexpr std::int64_t kMarkAgain_ns = 1'000'000'000;

std::string seconds_text(std::int64_t ns) {
    char text[32];
    std::snprintf(text, sizeof text, "%.1f s", static_cast<double>(ns) / 1e9);
    return text;
}

} // namespace

bool DeliveryPlan::takes(const AlarmMessage& message) const {
    if (message.event == "test") return true;
    return quietpass::takes(severities, message.severity) && quietpass::takes(causes, message.cause) &&
           quietpass::takes(events, message.event);
}

DeliveryLane::DeliveryLane(DeliveryPlan plan, DeliveryLedger& ledger, const Clock& clock, SayDelivery say,
                           std::uint64_t seed)
    : plan_(std::move(plan)),
      ledger_(ledger),
      clock_(clock),
      say_(std::move(say)),
      queue_({plan_.first_retry_s, plan_.last_retry_s, seed}) {}

DeliveryLane::~DeliveryLane() {
    finish();
    join(std::chrono::steady_clock::now());
}

void DeliveryLane::start() {
    if (plan_.channel->tend_every()) tend_ns_ = clock_.monotonic_ns();
    thread_ = std::thread([this] { run(); });
}

void DeliveryLane::put(ChannelQueue::Message message) {
    const std::lock_guard lock(mutex_);
    queue_.put(std::move(message), clock_.monotonic_ns());
    wake_.notify_all();
}

ChannelState DeliveryLane::state() const {
    const std::lock_guard lock(mutex_);
    return {plan_.name, plan_.channel->place(), queue_.size(), error_, handed_over_};
}

void DeliveryLane::finish() {
    const std::lock_guard lock(mutex_);
    finishing_ = true;
    wake_.notify_all();
}

void DeliveryLane::join(std::chrono::steady_clock::time_point give_up) {
    {
        std::unique_lock lock(mutex_);
        wake_.wait_until(lock, give_up, [this] { return !busy_; });
    }
    stop_now_.store(true);
    if (thread_.joinable()) thread_.join();
}

void DeliveryLane::run() {
    std::unique_lock lock(mutex_);
    const auto unlocked = [&](auto work) {
        busy_ = true;
        lock.unlock();
        work();
        lock.lock();
        busy_ = false;
        wake_.notify_all();
    };
    while (!finishing_) {
        const std::int64_t now_ns = clock_.monotonic_ns();
        if (!unmarked_.empty() && now_ns >= mark_again_ns_) {
            unlocked([this] { mark_again(); });
        } else if (const auto message = queue_.due(now_ns)) {
            unlocked([&] { attempt(*message); });
        } else if (now_ns >= tend_ns_) {
            unlocked([this] { tend(); });
        } else {
            std::int64_t until_ns = std::min(queue_.next_due_ns().value_or(kNever_ns), tend_ns_);
            if (!unmarked_.empty()) until_ns = std::min(until_ns, mark_again_ns_);
            if (until_ns == kNever_ns) {
                wake_.wait(lock);
            } else {
                wake_.wait_for(lock, std::chrono::nanoseconds(until_ns - now_ns));
            }
        }
    }
}

void DeliveryLane::attempt(const AlarmMessage& message) {
    const std::int64_t begun_ns = clock_.monotonic_ns();
    HandOver outcome;
    try {
        outcome = plan_.channel->hand_over(message, stop_now_);
    } catch (const std::exception& error) {
        outcome = HandOver::unreachable(error.what());
    }
    const std::int64_t now_ns = clock_.monotonic_ns();
    if (outcome.result == HandOver::Result::kDone) {
        const std::string unwritten = ledger_.done(message.id, plan_.name);
        if (!unwritten.empty()) tell(true, unwritten);
        {
            const std::lock_guard lock(mutex_);
            if (!unwritten.empty()) {
                unmarked_.push_back(message.id);
                mark_again_ns_ = now_ns + kMarkAgain_ns;
            }
            queue_.done(message.id);
            ++handed_over_;
        }
        set_error("", "");
        tell(false, "alarm " + message.cause + " (" + message.event + ") handed to " + plan_.name + " in " +
                        seconds_text(now_ns - begun_ns));
    } else if (!stop_now_.load()) {
        const bool refused = outcome.result == HandOver::Result::kRefused;
        std::int64_t again_in_ns = 0;
        std::size_t waiting = 0;
        {
            const std::lock_guard lock(mutex_);
            again_in_ns =
                (refused ? queue_.refused(message.id, now_ns) : queue_.unreachable(now_ns)) - now_ns;
            waiting = queue_.size();
        }
        ledger_.failed(message.id, plan_.name, again_in_ns, outcome.what);
        set_error(outcome.what, std::string(refused ? " (refused)" : "") + "; " + std::to_string(waiting) +
                                    " wait(s), tried again in " + seconds_text(again_in_ns));
    }
    try {
        plan_.channel->rest();
    } catch (const std::exception&) {
        // The outcome is known and written.
    }
}

void DeliveryLane::tend() {
    std::string error;
    try {
        error = plan_.channel->tend(stop_now_);
    } catch (const std::exception& thrown) {
        error = thrown.what();
    }
    if (!stop_now_.load()) set_error(error, "");
    const std::lock_guard lock(mutex_);
    if (error.empty()) queue_.reachable();
    tend_ns_ = clock_.monotonic_ns() + plan_.channel->tend_every()->count();
}

void DeliveryLane::mark_again() {
    std::vector<std::string> ids;
    {
        const std::lock_guard lock(mutex_);
        ids = unmarked_;
    }
    for (const std::string& id : ids) {
        const bool written = ledger_.done(id, plan_.name).empty();
        const std::lock_guard lock(mutex_);
        if (!written) {
            mark_again_ns_ = clock_.monotonic_ns() + kMarkAgain_ns;
            return;
        }
        std::erase(unmarked_, id);
    }
}

// One line when something begins, changes or is over; not one a try.
void DeliveryLane::set_error(const std::string& error, const std::string& more) {
    {
        const std::lock_guard lock(mutex_);
        if (std::exchange(error_, error) == error) return;
    }
    if (error.empty()) return tell(false, "alarms reach " + plan_.name + " again");
    tell(true, "alarms don't reach " + plan_.name + " at " + plan_.channel->place() + ": " + error + more);
}

void DeliveryLane::tell(bool warning, const std::string& line) const {
    if (!say_) return;
    try {
        say_(warning, line);
    } catch (...) {
        // A log that can't be written must not end a channel.
    }
}

} // namespace quietpass
