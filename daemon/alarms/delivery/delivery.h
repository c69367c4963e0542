// Hands alarms over: the outbox and a lane for each channel, so that a dead receiver delays nothing else.
//
// put() returns when the message is on the disk, and never waits for a receiver. What a channel acknowledged
// is written down at once and never handed to it again by this outbox; only a crash between a receiver's
// acknowledgement and that write (or a lost acknowledgement) makes a repeat, with the same id. What waited
// when the process ended is handed over after the next start, at once.
//
// When the disk fails, put() throws, but the message is handed over all the same as long as the process
// lives, and an acknowledged message is not handed over again; both are written as soon as the disk works.
//
// Threads: put(), states() and stop() from any thread. `say` is called on the lanes' threads, without a lock
// held, and must not call back. Waits are real time: give a real clock.
#pragma once

#include <chrono>
#include <memory>
#include <mutex>
#include <vector>

#include "daemon/alarms/alarm_message.h"
#include "daemon/alarms/delivery/delivery_lane.h"
#include "daemon/alarms/delivery/delivery_ledger.h"
#include "daemon/alarms/delivery/outbox.h"
#include "daemon/clock.h"

namespace quietpass {

class Delivery final : public AlarmOutlet {
  public:
    using Say = SayDelivery;

    // standing: told of each message before the channels are; lamps ask it. keep: what was handed over longer
    // ago is taken out of the outbox. Throws Failure.
    Delivery(Outbox outbox, std::shared_ptr<StandingAlarms> standing, std::vector<DeliveryPlan> plans,
             const Clock& clock, const Say& say, std::chrono::hours keep);
    ~Delivery() override; // stop()

    void put(const AlarmMessage& message) override;

    std::vector<ChannelState> states() const;

    // Ends the threads; what is being handed over has so long to end well. The rest stays in the outbox.
    void stop(std::chrono::milliseconds grace = std::chrono::seconds(3));

  private:
    void take_waiting(const Say& say);

    DeliveryLedger ledger_;
    const std::shared_ptr<StandingAlarms> standing_;
    std::mutex mutex_; // one put at a time, so that all lanes have the same order
    std::vector<std::unique_ptr<DeliveryLane>> lanes_;
};

} // namespace quietpass
