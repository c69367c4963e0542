// Keeps all that a contact source posts and lets a test wait for one event of it. Thread-safe.
#pragma once

#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <condition_variable>
#include <functional>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

#include "daemon/contacts/contact_inputs.h"
#include "daemon/contacts/contact_source.h"

namespace quietpass {

class Listener final : public ContactSink {
  public:
    void post(const ContactEvent& event) override {
        {
            const std::lock_guard lock(mutex_);
            events_.push_back(event);
        }
        came_.notify_all();
        std::this_thread::sleep_for(std::chrono::milliseconds(block_for_ms.exchange(0)));
    }

    // The first event from index `from` on that fits; fails the test when none comes.
    ContactEvent await(const std::function<bool(const ContactEvent&)>& fits, std::size_t from = 0) {
        std::unique_lock lock(mutex_);
        std::optional<ContactEvent> found;
        const bool came = came_.wait_for(lock, std::chrono::seconds(10), [&] {
            for (std::size_t i = from; i < events_.size() && !found; ++i) {
                if (fits(events_[i])) found = events_[i];
            }
            return found.has_value();
        });
        REQUIRE(came);
        return *found;
    }
    ContactEvent await(ContactEvent::Kind kind, std::size_t from = 0) {
        return await([kind](const ContactEvent& event) { return event.kind == kind; }, from);
    }
    ContactEvent await_level(std::size_t contact, bool level, std::size_t from = 0) {
        return await(
            [=](const ContactEvent& event) {
                return event.kind == ContactEvent::Kind::kChange && event.contact == contact &&
                       event.level == level;
            },
            from);
    }
    std::size_t count() const {
        const std::lock_guard lock(mutex_);
        return events_.size();
    }
    std::vector<ContactEvent> events() const {
        const std::lock_guard lock(mutex_);
        return events_;
    }

    std::atomic<int> block_for_ms{0}; // once

  private:
    mutable std::mutex mutex_;
    std::condition_variable came_;
    std::vector<ContactEvent> events_;
};

// Nothing is ever posted for a time that was already known, and lost spans touch what came before.
inline void check_order(const std::vector<ContactEvent>& events) {
    std::int64_t known_ns = 0;
    bool in_order = true;
    for (const ContactEvent& event : events) {
        in_order = in_order && event.at_ns >= known_ns;
        if (event.kind == ContactEvent::Kind::kLost) {
            in_order =
                in_order && event.from_ns <= event.at_ns && (known_ns == 0 || event.from_ns == known_ns);
        }
        if (event.kind != ContactEvent::Kind::kChange) known_ns = event.at_ns;
    }
    CHECK(in_order);
}

// The edges that all that was posted makes, with the Clock's time as station time.
inline std::vector<ContactEdge> edges_from(const std::vector<ContactEvent>& events,
                                           const StationSettings& settings) {
    ContactInputs inputs(settings);
    for (const ContactEvent& event : events) {
        inputs.take(event, static_cast<double>(event.at_ns) / 1e9, static_cast<double>(event.from_ns) / 1e9);
    }
    inputs.finish();
    std::vector<ContactEdge> edges;
    for (ContactEdge edge; inputs.take(edge);) edges.push_back(edge);
    return edges;
}

} // namespace quietpass
