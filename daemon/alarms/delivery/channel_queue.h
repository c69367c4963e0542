// Which of a channel's messages is due, and when: the oldest first. Two things can go wrong with a hand-over,
// and they wait apart: a receiver that can't be reached stops the channel (trying the next message would only
// cost time), a message that the receiver refused waits by itself while the others go on.
//
// Pure: times are the caller's, monotonic nanoseconds. One thread.
#pragma once

#include <cstdint>
#include <deque>
#include <memory>
#include <optional>
#include <string>

#include "daemon/alarms/alarm_message.h"
#include "daemon/alarms/delivery/retry_pace.h"

namespace quietpass {

class ChannelQueue {
  public:
    using Message = std::shared_ptr<const AlarmMessage>;

    explicit ChannelQueue(const RetryPace& pace) : pace_(pace) {}

    // A new message is worth a try of a channel that waits, at the earliest first_s after its last.
    void put(Message message, std::int64_t now_ns);

    // Null: none is due. It stays in the queue until done().
    Message due(std::int64_t now_ns) const;
    // When the next is due; nothing when none waits.
    std::optional<std::int64_t> next_due_ns() const;

    void done(const std::string& id);
    // Both: when it will be tried again.
    std::int64_t refused(const std::string& id, std::int64_t now_ns);
    std::int64_t unreachable(std::int64_t now_ns);
    // The receiver is there: nothing waits for it.
    void reachable();

    std::size_t size() const { return entries_.size(); }

  private:
    struct Entry {
        Message message;
        std::int64_t refusals = 0;
        std::int64_t due_ns = 0;
    };

    std::int64_t after(double seconds, std::int64_t now_ns) const;

    RetryPace pace_;
    std::deque<Entry> entries_;
    std::int64_t channel_due_ns_ = 0;
    std::int64_t last_try_ns_ = 0;
    std::int64_t failures_ = 0; // of the channel, in a row
};

} // namespace quietpass
