// A channel with the thread that hands its messages over, one at a time, the oldest first.
//
// Threads: put(), state() and the two ends from any thread; the channel is called on the lane's thread alone.
// `say` is called on it too, without a lock held.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <functional>
#include <limits>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "daemon/alarms/delivery/channel_queue.h"
#include "daemon/alarms/delivery/delivery_channel.h"
#include "daemon/alarms/delivery/delivery_ledger.h"
#include "daemon/clock.h"

namespace quietpass {

// A channel, what it takes (an empty list: all), and how it is tried again.
struct DeliveryPlan {
    std::string name; // its name in the outbox
    std::unique_ptr<DeliveryChannel> channel;
    std::vector<std::string> severities;
    std::vector<std::string> causes;
    std::vector<std::string> events;
    double first_retry_s = 2.0;
    double last_retry_s = 60.0;

    // A test goes to every channel.
    bool takes(const AlarmMessage& message) const;
};

struct ChannelState {
    std::string name;
    std::string place;
    std::size_t waiting = 0;
    std::string error;             // what is wrong; empty while all is well
    std::uint64_t handed_over = 0; // since the start
};

using SayDelivery = std::function<void(bool warning, const std::string& line)>;

class DeliveryLane {
  public:
    // seed: of the waits' random part. Ledger and clock must outlive the lane.
    DeliveryLane(DeliveryPlan plan, DeliveryLedger& ledger, const Clock& clock, SayDelivery say,
                 std::uint64_t seed);
    ~DeliveryLane(); // the ends, without grace
    DeliveryLane(const DeliveryLane&) = delete;
    DeliveryLane& operator=(const DeliveryLane&) = delete;

    void start();
    void put(ChannelQueue::Message message);

    const std::string& name() const { return plan_.name; }
    bool takes(const AlarmMessage& message) const { return plan_.takes(message); }
    ChannelState state() const;

    // No new try is begun.
    void finish();
    // Waits for the try under way until then, ends it, and joins the thread.
    void join(std::chrono::steady_clock::time_point give_up);

  private:
    static constexpr std::int64_t kNever_ns = std::numeric_limits<std::int64_t>::max();

    void run();
    void attempt(const AlarmMessage& message);
    void tend();
    void mark_again();
    void set_error(const std::string& error, const std::string& more);
    void tell(bool warning, const std::string& line) const;

    DeliveryPlan plan_; // its channel is the thread's alone
    DeliveryLedger& ledger_;
    const Clock& clock_;
    const SayDelivery say_;
    std::atomic<bool> stop_now_{false}; // the try under way ends

    mutable std::mutex mutex_; // everything below, down to the thread
    std::condition_variable wake_;
    ChannelQueue queue_;
    std::vector<std::string> unmarked_; // acknowledged, and the ledger could not write it yet
    std::int64_t mark_again_ns_ = 0;
    std::int64_t tend_ns_ = kNever_ns;
    std::string error_;
    std::uint64_t handed_over_ = 0;
    bool finishing_ = false;
    bool busy_ = false;

    std::thread thread_;
};

} // namespace quietpass
