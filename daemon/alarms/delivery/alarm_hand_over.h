// What a change of an alarm's state brings with it, on a thread of its own, so that whoever raises alarms
// never waits for the disk: its message is put into the outlet, and then its row goes on to the record store.
// In this order, and never the other way: a process killed in between tells the message once more after its
// restart (with the same id, so that nobody gets it twice), and never not at all.
//
// When `capacity` steps wait, further ones are taken without their message: the row goes on at once as not
// told, so that it is told after the next start, and that is said. What the outlet throws is said once, until
// it goes well again; the row goes on as told, since Delivery keeps the message (delivery.h).
//
// Threads: take(), waiting() and flush() from any thread; on_row is called on this object's thread, on
// take()'s and on the destructor's, say likewise, neither with a lock held.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "daemon/alarms/alarm_message.h"
#include "daemon/records/store_rows.h"

namespace quietpass {

struct AlarmHandOverOptions {
    std::size_t capacity = 1000;                  // alarms are never a flood; this is hours of them
    std::chrono::milliseconds last_flush{10'000}; // how long the destructor goes on
};

class AlarmHandOver {
  public:
    using OnRow = std::function<void(AlarmEventRow)>;
    using Say = std::function<void(bool warning, const std::string& line)>;

    // outlet: null where nothing is set to deliver to; rows go on at once then, and there is no thread. It
    // must outlive this.
    AlarmHandOver(AlarmOutlet* outlet, OnRow on_row, Say say, const AlarmHandOverOptions& options = {});
    // Goes on for last_flush at most and joins the thread; the rows that are left go on as not told.
    ~AlarmHandOver();
    AlarmHandOver(const AlarmHandOver&) = delete;
    AlarmHandOver& operator=(const AlarmHandOver&) = delete;

    // message: absent for a row that tells nobody.
    void take(std::optional<AlarmMessage> message, AlarmEventRow row);

    std::size_t waiting() const;
    // true: nothing waits.
    bool flush(std::chrono::milliseconds timeout);

  private:
    struct Step {
        std::optional<AlarmMessage> message;
        AlarmEventRow row;
    };
    void run();
    void hand_over(Step step);
    void pass_by(AlarmEventRow row);

    AlarmOutlet* const outlet_;
    const OnRow on_row_;
    const Say say_;
    const AlarmHandOverOptions options_;
    bool failing_ = false; // the thread's

    mutable std::mutex mutex_; // everything below, down to the thread
    std::condition_variable wake_;
    std::condition_variable done_;
    std::deque<Step> queue_;
    bool busy_ = false;
    bool said_full_ = false;
    bool stopping_ = false;
    std::chrono::steady_clock::time_point give_up_;

    std::thread thread_;
};

} // namespace quietpass
