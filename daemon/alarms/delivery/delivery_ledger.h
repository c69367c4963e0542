// What is written of messages and acknowledgements, and what could not be written yet. It stands between the
// channels and the outbox so that a disk that takes nothing for a while costs neither a message nor a repeat.
//
// Thread-safe: one lock. Errors: only those named below leave as Failure; the disk's others are held and
// tried again with the next put() (messages) or when asked (acknowledgements).
#pragma once

#include <chrono>
#include <cstdint>
#include <exception>
#include <map>
#include <memory>
#include <mutex>
#include <set>
#include <string>
#include <vector>

#include "daemon/alarms/alarm_message.h"
#include "daemon/alarms/delivery/outbox.h"
#include "daemon/clock.h"

namespace quietpass {

class DeliveryLedger {
  public:
    using Message = std::shared_ptr<const AlarmMessage>;

    // keep: what was handed over longer ago is taken out, now and once a day. Throws Failure. The clock must
    // outlive the ledger.
    DeliveryLedger(Outbox outbox, const Clock& clock, std::chrono::hours keep);

    struct Put {
        bool is_new = false;        // the channels are to have it; false: it was put before
        std::exception_ptr failure; // a Failure: it is not on the disk
    };
    Put put(const Message& message, const std::vector<std::string>& channels);

    // The channel acknowledged it. Empty: written, or will be with the message; else what is wrong: ask
    // again.
    std::string done(const std::string& id, const std::string& channel);

    // For people to look at; nothing is said when it can't be written.
    void failed(const std::string& id, const std::string& channel, std::int64_t again_in_ns,
                const std::string& error);

    std::vector<OutboxRow> waiting() const; // throws Failure
    std::string file() const { return outbox_.file().string(); }

  private:
    // The message and the channels that have not acknowledged it.
    struct Unwritten {
        Message message;
        std::set<std::string> channels;
    };
    void write_unwritten();
    void prune();

    const Clock& clock_;
    const std::chrono::hours keep_;
    std::mutex mutex_; // everything below
    Outbox outbox_;
    std::map<std::string, Unwritten> unwritten_; // by id
    std::int64_t pruned_ns_ = 0;
};

} // namespace quietpass
