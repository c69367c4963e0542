// An outbox in a test's folder with channels to a test's receivers, tried again quickly. Tests only.
#pragma once

#include <chrono>
#include <filesystem>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "daemon/alarms/delivery/delivery.h"
#include "daemon/alarms/delivery/webhook_channel.h"
#include "tests/test_folder.h"

namespace quietpass::test {

inline const std::string kSigningKey = "0123456789abcdef0123456789abcdef";

template <typename Holds>
bool await(Holds holds) {
    const auto give_up = std::chrono::steady_clock::now() + std::chrono::minutes(1);
    while (!holds()) {
        if (std::chrono::steady_clock::now() > give_up) return false;
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    return true;
}

inline DeliveryPlan quick_plan(std::string name, std::unique_ptr<DeliveryChannel> channel) {
    DeliveryPlan lane;
    lane.name = std::move(name);
    lane.channel = std::move(channel);
    lane.first_retry_s = 0.02;
    lane.last_retry_s = 0.1;
    return lane;
}

struct DeliveryRig {
    DeliveryPlan webhook(const std::string& name, const std::string& url, double within_s = 20.0,
                         const std::string& ca_file = "") {
        return quick_plan(name, std::make_unique<WebhookChannel>(WebhookSettings{url, "", ca_file, ""},
                                                                 kSigningKey, within_s, clock));
    }

    template <typename... Lanes>
    void start(Lanes&&... lanes) {
        std::vector<DeliveryPlan> all;
        (all.push_back(std::forward<Lanes>(lanes)), ...);
        start_all(std::move(all));
    }
    void start_all(std::vector<DeliveryPlan> lanes) {
        Outbox outbox(folder / kOutboxFile, std::chrono::milliseconds(200));
        standing = std::make_shared<StandingAlarms>(outbox.standing());
        delivery = std::make_unique<Delivery>(
            std::move(outbox), standing, std::move(lanes), clock,
            [this](bool warning, const std::string& line) {
                const std::lock_guard lock(mutex);
                lines.push_back((warning ? "warning: " : "") + line);
            },
            std::chrono::hours(24 * 30));
    }
    void stop() { delivery.reset(); }

    std::size_t waiting() const {
        std::size_t sum = 0;
        for (const ChannelState& state : delivery->states()) sum += state.waiting;
        return sum;
    }
    bool await_all_done() const {
        return await([this] { return waiting() == 0; });
    }
    std::string log() const {
        const std::lock_guard lock(mutex);
        std::string text;
        for (const std::string& line : lines) text += line + "\n";
        return text;
    }
    // All rows of the outbox, read anew.
    std::vector<OutboxRow> rows() const { return Outbox(folder / kOutboxFile).rows(); }

    TestFolder folder;
    RealClock clock;
    std::shared_ptr<StandingAlarms> standing;
    mutable std::mutex mutex;
    std::vector<std::string> lines; // under mutex
    std::unique_ptr<Delivery> delivery;
};

} // namespace quietpass::test
