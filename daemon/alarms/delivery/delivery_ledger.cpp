#include "daemon/alarms/delivery/delivery_ledger.h"

#include <utility>

#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr std::int64_t kPruneEvery_ns = 24LL * 3600 * 1'000'000'000;

} // namespace

DeliveryLedger::DeliveryLedger(Outbox outbox, const Clock& clock, std::chrono::hours keep)
    : clock_(clock), keep_(keep), outbox_(std::move(outbox)) {
    prune();
}

DeliveryLedger::Put DeliveryLedger::put(const Message& message, const std::vector<std::string>& channels) {
    const std::lock_guard lock(mutex_);
    Put result;
    const bool known = unwritten_.contains(message->id);
    try {
        write_unwritten();
        result.is_new = !known && outbox_.put(*message, channels, clock_.utc_ns());
    } catch (const Failure&) {
        result.failure = std::current_exception();
        result.is_new = !known;
        if (!known) unwritten_[message->id] = {message, {channels.begin(), channels.end()}};
        return result;
    }
    try {
        if (clock_.monotonic_ns() - pruned_ns_ >= kPruneEvery_ns) prune();
    } catch (const Failure&) {
        // The message is kept; tidying up can wait.
    }
    return result;
}

std::string DeliveryLedger::done(const std::string& id, const std::string& channel) {
    const std::lock_guard lock(mutex_);
    if (const auto found = unwritten_.find(id); found != unwritten_.end()) {
        found->second.channels.erase(channel);
        return {};
    }
    try {
        outbox_.done(id, channel, clock_.utc_ns());
        return {};
    } catch (const Failure& failure) {
        return failure.what();
    }
}

void DeliveryLedger::failed(const std::string& id, const std::string& channel, std::int64_t again_in_ns,
                            const std::string& error) {
    const std::lock_guard lock(mutex_);
    try {
        outbox_.failed(id, channel, clock_.utc_ns(), clock_.utc_ns() + again_in_ns, error);
    } catch (const Failure&) {
        // The channel's queue knows what counts.
    }
}

std::vector<OutboxRow> DeliveryLedger::waiting() const {
    return outbox_.waiting();
}

void DeliveryLedger::write_unwritten() {
    for (auto entry = unwritten_.begin(); entry != unwritten_.end();) {
        const auto& [message, channels] = entry->second;
        outbox_.put(*message, {channels.begin(), channels.end()}, clock_.utc_ns());
        entry = unwritten_.erase(entry);
    }
}

void DeliveryLedger::prune() {
    pruned_ns_ = clock_.monotonic_ns();
    outbox_.prune(clock_.utc_ns() - std::chrono::nanoseconds(keep_).count());
}

} // namespace quietpass
