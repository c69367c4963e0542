#include "daemon/alarms/delivery/channel_queue.h"

#include <algorithm>

namespace quietpass {

std::int64_t ChannelQueue::after(double seconds, std::int64_t now_ns) const {
    return now_ns + static_cast<std::int64_t>(seconds * 1e9);
}

void ChannelQueue::put(Message message, std::int64_t now_ns) {
    entries_.push_back({std::move(message), 0, now_ns});
    if (failures_ > 0) {
        channel_due_ns_ = std::min(channel_due_ns_, std::max(now_ns, after(pace_.first_s(), last_try_ns_)));
    }
}

ChannelQueue::Message ChannelQueue::due(std::int64_t now_ns) const {
    if (now_ns < channel_due_ns_) return nullptr;
    const auto found = std::find_if(entries_.begin(), entries_.end(),
                                    [now_ns](const Entry& entry) { return entry.due_ns <= now_ns; });
    return found == entries_.end() ? nullptr : found->message;
}

std::optional<std::int64_t> ChannelQueue::next_due_ns() const {
    if (entries_.empty()) return std::nullopt;
    const auto first = std::min_element(entries_.begin(), entries_.end(),
                                        [](const Entry& a, const Entry& b) { return a.due_ns < b.due_ns; });
    return std::max(first->due_ns, channel_due_ns_);
}

void ChannelQueue::done(const std::string& id) {
    std::erase_if(entries_, [&id](const Entry& entry) { return entry.message->id == id; });
    reachable();
}

std::int64_t ChannelQueue::refused(const std::string& id, std::int64_t now_ns) {
    reachable();
    for (Entry& entry : entries_) {
        if (entry.message->id != id) continue;
        entry.due_ns = after(pace_.wait_s(++entry.refusals), now_ns);
        return entry.due_ns;
    }
    return now_ns;
}

std::int64_t ChannelQueue::unreachable(std::int64_t now_ns) {
    last_try_ns_ = now_ns;
    channel_due_ns_ = after(pace_.wait_s(++failures_), now_ns);
    return channel_due_ns_;
}

void ChannelQueue::reachable() {
    failures_ = 0;
    channel_due_ns_ = 0;
}

} // namespace quietpass
