#include "daemon/alarms/delivery/delivery.h"

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <cstdio>
#include <limits>
#include <map>
#include <mutex>
#include <random>
#include <set>
#include <thread>
#include <utility>

#include "daemon/alarms/delivery/channel_queue.h"
#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr std::int64_t kNever_ns = std::numeric_limits<std::int64_t>::max();
constexpr std::int64_t kMarkAgain_ns = 1'000'000'000;
constexpr std::int64_t kPruneEvery_ns = 24LL * 3600 * 1'000'000'000;

std::string seconds_text(double seconds) {
    char text[32];
    std::snprintf(text, sizeof text, "%.1f s", seconds);
    return text;
}

} // namespace

bool DeliveryLane::takes(const AlarmMessage& message) const {
    if (message.event == "test") return true;
    return quietpass::takes(severities, message.severity) && quietpass::takes(causes, message.cause) &&
           quietpass::takes(events, message.event);
}

struct Delivery::Parts {
    struct Lane {
        Lane(DeliveryLane with, std::uint64_t seed)
            : lane(std::move(with)), queue({lane.first_retry_s, lane.last_retry_s, seed}) {}

        DeliveryLane lane; // its channel is the thread's alone

        std::mutex mutex; // everything below, down to the thread
        std::condition_variable wake;
        ChannelQueue queue;
        std::vector<std::string> unmarked; // acknowledged, and the outbox could not be told yet
        std::int64_t mark_again_ns = 0;
        std::int64_t tend_ns = kNever_ns;
        std::string error;
        std::uint64_t handed_over = 0;
        bool busy = false;

        std::thread thread;
    };
    // Not on the disk: the message and the channels that have not acknowledged it.
    struct Unwritten {
        ChannelQueue::Message message;
        std::set<std::string> channels;
    };

    Parts(Outbox opened, std::shared_ptr<StandingAlarms> alarms, const Clock& the_clock, Say the_say,
          std::chrono::hours keep_for)
        : outbox(std::move(opened)),
          standing(std::move(alarms)),
          clock(the_clock),
          say(std::move(the_say)),
          keep(keep_for) {}

    void take_waiting();
    void run(Lane& lane);
    void attempt(Lane& lane, const AlarmMessage& message);
    void tend(Lane& lane);
    bool write_done(Lane& lane, const std::string& id);
    void mark_again(Lane& lane);
    void tell_failure(Lane& lane, const HandOver& outcome, std::int64_t again_ns, std::size_t waiting);
    void set_error(Lane& lane, const std::string& error);
    void write_unwritten();
    void prune();
    void tell(bool warning, const std::string& line) const;

    Outbox outbox;
    const std::shared_ptr<StandingAlarms> standing;
    const Clock& clock;
    const Say say;
    const std::chrono::hours keep;

    std::mutex mutex; // one put at a time, and the two below
    std::map<std::string, Unwritten> unwritten;
    std::int64_t pruned_ns = 0;

    std::atomic<bool> stopping{false}; // no new try is begun
    std::atomic<bool> stop_now{false}; // the one under way ends
    std::vector<std::unique_ptr<Lane>> lanes;
};

void Delivery::Parts::tell(bool warning, const std::string& line) const {
    if (!say) return;
    try {
        say(warning, line);
    } catch (...) {
        // A log that can't be written must not end a channel.
    }
}

void Delivery::Parts::take_waiting() {
    std::map<std::string, std::size_t> orphans;
    for (OutboxRow& row : outbox.waiting()) {
        const auto found = std::find_if(lanes.begin(), lanes.end(),
                                        [&](const auto& lane) { return lane->lane.name == row.channel; });
        if (found == lanes.end()) {
            ++orphans[row.channel];
            continue;
        }
        (*found)->queue.put(std::make_shared<const AlarmMessage>(std::move(row.message)),
                            clock.monotonic_ns());
    }
    for (const auto& [channel, count] : orphans) {
        tell(true, std::to_string(count) + " alarm message(s) wait in " + outbox.file().string() + " for \"" +
                       channel + "\", which the station file no longer has");
    }
}

void Delivery::Parts::run(Lane& lane) {
    std::unique_lock lock(lane.mutex);
    if (lane.lane.channel->tend_every()) lane.tend_ns = clock.monotonic_ns();
    while (!stopping.load()) {
        const std::int64_t now_ns = clock.monotonic_ns();
        if (!lane.unmarked.empty() && now_ns >= lane.mark_again_ns) {
            lock.unlock();
            mark_again(lane);
            lock.lock();
            continue;
        }
        if (const auto message = lane.queue.due(now_ns)) {
            lane.busy = true;
            lock.unlock();
            attempt(lane, *message);
            lock.lock();
            lane.busy = false;
            lane.wake.notify_all();
            continue;
        }
        if (now_ns >= lane.tend_ns) {
            lane.busy = true;
            lock.unlock();
            tend(lane);
            lock.lock();
            lane.busy = false;
            lane.wake.notify_all();
            continue;
        }
        std::int64_t until_ns = std::min(lane.queue.next_due_ns().value_or(kNever_ns), lane.tend_ns);
        if (!lane.unmarked.empty()) until_ns = std::min(until_ns, lane.mark_again_ns);
        if (until_ns == kNever_ns) {
            lane.wake.wait(lock);
        } else {
            lane.wake.wait_for(lock, std::chrono::nanoseconds(until_ns - now_ns));
        }
    }
}

void Delivery::Parts::attempt(Lane& lane, const AlarmMessage& message) {
    const std::int64_t begun_ns = clock.monotonic_ns();
    HandOver outcome;
    try {
        outcome = lane.lane.channel->hand_over(message, stop_now);
    } catch (const std::exception& error) {
        outcome = HandOver::unreachable(error.what());
    }
    const std::int64_t now_ns = clock.monotonic_ns();
    if (outcome.result == HandOver::Result::kDone) {
        const bool written = write_done(lane, message.id);
        {
            const std::lock_guard lock(lane.mutex);
            lane.queue.done(message.id);
            ++lane.handed_over;
            if (!written) {
                lane.unmarked.push_back(message.id);
                lane.mark_again_ns = now_ns + kMarkAgain_ns;
            }
        }
        set_error(lane, "");
        tell(false, "alarm " + message.cause + " (" + message.event + ") handed to " + lane.lane.name +
                        " in " + seconds_text(static_cast<double>(now_ns - begun_ns) / 1e9));
    } else if (!stop_now.load()) {
        std::int64_t again_ns = 0;
        std::size_t waiting = 0;
        {
            const std::lock_guard lock(lane.mutex);
            again_ns = outcome.result == HandOver::Result::kRefused ? lane.queue.refused(message.id, now_ns)
                                                                    : lane.queue.unreachable(now_ns);
            waiting = lane.queue.size();
        }
        try {
            outbox.failed(message.id, lane.lane.name, clock.utc_ns(), clock.utc_ns() + again_ns - now_ns,
                          outcome.what);
        } catch (const Failure&) {
            // For people to look at only; the queue has it.
        }
        tell_failure(lane, outcome, again_ns - now_ns, waiting);
    }
    try {
        lane.lane.channel->rest();
    } catch (const std::exception&) {
        // The outcome is known and written.
    }
}

void Delivery::Parts::tend(Lane& lane) {
    std::string error;
    try {
        error = lane.lane.channel->tend(stop_now);
    } catch (const std::exception& thrown) {
        error = thrown.what();
    }
    if (!stop_now.load()) set_error(lane, error);
    const std::lock_guard lock(lane.mutex);
    if (error.empty()) lane.queue.reachable();
    lane.tend_ns = clock.monotonic_ns() + lane.lane.channel->tend_every()->count();
}

// false: the disk did not take it.
bool Delivery::Parts::write_done(Lane& lane, const std::string& id) {
    const std::lock_guard lock(mutex);
    if (const auto found = unwritten.find(id); found != unwritten.end()) {
        found->second.channels.erase(lane.lane.name);
        return true;
    }
    try {
        outbox.done(id, lane.lane.name, clock.utc_ns());
        return true;
    } catch (const Failure& failure) {
        tell(true, failure.what());
        return false;
    }
}

void Delivery::Parts::mark_again(Lane& lane) {
    std::vector<std::string> ids;
    {
        const std::lock_guard lock(lane.mutex);
        ids = lane.unmarked;
    }
    for (const std::string& id : ids) {
        const bool written = write_done(lane, id);
        const std::lock_guard lock(lane.mutex);
        if (!written) {
            lane.mark_again_ns = clock.monotonic_ns() + kMarkAgain_ns;
            return;
        }
        std::erase(lane.unmarked, id);
    }
}

void Delivery::Parts::set_error(Lane& lane, const std::string& error) {
    std::string before;
    {
        const std::lock_guard lock(lane.mutex);
        before = std::exchange(lane.error, error);
    }
    if (error == before) return;
    if (error.empty()) {
        tell(false, "alarms reach " + lane.lane.name + " again");
    } else {
        tell(true,
             "alarms don't reach " + lane.lane.name + " at " + lane.lane.channel->place() + ": " + error);
    }
}

void Delivery::Parts::tell_failure(Lane& lane, const HandOver& outcome, std::int64_t again_ns,
                                   std::size_t waiting) {
    const bool refused = outcome.result == HandOver::Result::kRefused;
    {
        const std::lock_guard lock(lane.mutex);
        if (std::exchange(lane.error, outcome.what) == outcome.what) return;
    }
    tell(true, "alarms don't reach " + lane.lane.name + " at " + lane.lane.channel->place() + ": " +
                   outcome.what + (refused ? " (refused)" : "") + "; " + std::to_string(waiting) +
                   " wait(s), tried again in " + seconds_text(static_cast<double>(again_ns) / 1e9));
}

void Delivery::Parts::write_unwritten() {
    for (auto entry = unwritten.begin(); entry != unwritten.end();) {
        const auto& [message, channels] = entry->second;
        outbox.put(*message, {channels.begin(), channels.end()}, clock.utc_ns());
        entry = unwritten.erase(entry);
    }
}

void Delivery::Parts::prune() {
    if (pruned_ns != 0 && clock.monotonic_ns() - pruned_ns < kPruneEvery_ns) return;
    pruned_ns = clock.monotonic_ns();
    outbox.prune(clock.utc_ns() - std::chrono::nanoseconds(keep).count());
}

Delivery::Delivery(Outbox outbox, std::shared_ptr<StandingAlarms> standing, std::vector<DeliveryLane> lanes,
                   const Clock& clock, Say say, std::chrono::hours keep)
    : parts_(std::make_unique<Parts>(std::move(outbox), std::move(standing), clock, std::move(say), keep)) {
    std::random_device seed;
    for (DeliveryLane& lane : lanes) {
        parts_->lanes.push_back(std::make_unique<Parts::Lane>(std::move(lane), seed()));
    }
    parts_->prune();
    parts_->take_waiting();
    for (const auto& lane : parts_->lanes) {
        lane->thread = std::thread([parts = parts_.get(), each = lane.get()] { parts->run(*each); });
    }
}

Delivery::~Delivery() {
    stop();
}

void Delivery::put(const AlarmMessage& message) {
    Parts& parts = *parts_;
    const std::lock_guard lock(parts.mutex);
    if (parts.unwritten.contains(message.id)) {
        parts.write_unwritten();
        return;
    }
    const auto shared = std::make_shared<const AlarmMessage>(message);
    std::vector<Parts::Lane*> lanes;
    std::vector<std::string> channels;
    for (const auto& lane : parts.lanes) {
        if (!lane->lane.takes(message)) continue;
        lanes.push_back(lane.get());
        channels.push_back(lane->lane.name);
    }
    std::exception_ptr failed;
    try {
        parts.write_unwritten();
        if (!parts.outbox.put(message, channels, parts.clock.utc_ns())) return;
    } catch (const Failure&) {
        failed = std::current_exception();
        parts.unwritten[message.id] = {shared, {channels.begin(), channels.end()}};
    }
    parts.standing->take(message);
    for (Parts::Lane* const lane : lanes) {
        const std::lock_guard lane_lock(lane->mutex);
        lane->queue.put(shared, parts.clock.monotonic_ns());
        lane->wake.notify_all();
    }
    if (failed) std::rethrow_exception(failed);
    try {
        parts.prune();
    } catch (const Failure&) {
        // The message is kept and on its way; tidying up can wait.
    }
}

std::vector<ChannelState> Delivery::states() const {
    std::vector<ChannelState> states;
    for (const auto& lane : parts_->lanes) {
        const std::lock_guard lock(lane->mutex);
        states.push_back({lane->lane.name, lane->lane.channel->place(), lane->queue.size(), lane->error,
                          lane->handed_over});
    }
    return states;
}

void Delivery::stop(std::chrono::milliseconds grace) {
    parts_->stopping.store(true);
    const auto give_up = std::chrono::steady_clock::now() + grace;
    for (const auto& lane : parts_->lanes) {
        std::unique_lock lock(lane->mutex);
        lane->wake.notify_all();
        lane->wake.wait_until(lock, give_up, [&lane] { return !lane->busy; });
    }
    parts_->stop_now.store(true);
    for (const auto& lane : parts_->lanes) {
        if (lane->thread.joinable()) lane->thread.join();
    }
}

} // namespace quietpass
