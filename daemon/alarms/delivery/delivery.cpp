#include "daemon/alarms/delivery/delivery.h"

#include <algorithm>
#include <map>
#include <random>
#include <string>
#include <utility>

namespace quietpass {

Delivery::Delivery(Outbox outbox, std::shared_ptr<StandingAlarms> standing, std::vector<DeliveryPlan> plans,
                   const Clock& clock, const Say& say, std::chrono::hours keep)
    : ledger_(std::move(outbox), clock, keep), standing_(std::move(standing)) {
    std::random_device seed;
    for (DeliveryPlan& plan : plans) {
        lanes_.push_back(std::make_unique<DeliveryLane>(std::move(plan), ledger_, clock, say, seed()));
    }
    take_waiting(say);
    for (const auto& lane : lanes_) lane->start();
}

Delivery::~Delivery() {
    stop();
}

void Delivery::take_waiting(const Say& say) {
    std::map<std::string, std::size_t> orphans;
    for (OutboxRow& row : ledger_.waiting()) {
        const auto found = std::find_if(lanes_.begin(), lanes_.end(),
                                        [&row](const auto& lane) { return lane->name() == row.channel; });
        if (found == lanes_.end()) {
            ++orphans[row.channel];
        } else {
            (*found)->put(std::make_shared<const AlarmMessage>(std::move(row.message)));
        }
    }
    for (const auto& [channel, count] : orphans) {
        if (!say) continue;
        say(true, std::to_string(count) + " alarm message(s) wait in " + ledger_.file() + " for \"" +
                      channel + "\", which the station file no longer has");
    }
}

void Delivery::put(const AlarmMessage& message) {
    const std::lock_guard lock(mutex_);
    const auto shared = std::make_shared<const AlarmMessage>(message);
    std::vector<DeliveryLane*> lanes;
    std::vector<std::string> channels;
    for (const auto& lane : lanes_) {
        if (!lane->takes(message)) continue;
        lanes.push_back(lane.get());
        channels.push_back(lane->name());
    }
    const DeliveryLedger::Put result = ledger_.put(shared, channels);
    if (result.is_new) {
        standing_->take(message);
        for (DeliveryLane* const lane : lanes) lane->put(shared);
    }
    if (result.failure) std::rethrow_exception(result.failure);
}

std::vector<ChannelState> Delivery::states() const {
    std::vector<ChannelState> states;
    for (const auto& lane : lanes_) states.push_back(lane->state());
    return states;
}

void Delivery::stop(std::chrono::milliseconds grace) {
    const auto give_up = std::chrono::steady_clock::now() + grace;
    for (const auto& lane : lanes_) lane->finish();
    for (const auto& lane : lanes_) lane->join(give_up);
}

} // namespace quietpass
