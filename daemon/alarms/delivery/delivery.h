// Hands alarms over: the outbox and a thread for each channel, so that a dead receiver delays nothing else.
//
// put() returns when the message is on the disk, and never waits for a receiver. What a channel acknowledged
// is written down at once and never handed to it again by this outbox; only a crash between a receiver's
// acknowledgement and that write (or a lost acknowledgement) makes a repeat, with the same id. What waited
// when the process ended is handed over after the next start, at once.
//
// When the disk fails, put() throws, but the message is handed over all the same as long as the process
// lives, and an acknowledged message is not handed over again; both are written as soon as the disk works.
//
// Threads: put(), states() and stop() from any thread. `say` is called on the channels' threads, without a
// lock held, and must not call back. Waits are real time.
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "daemon/alarms/alarm_message.h"
#include "daemon/alarms/delivery/delivery_channel.h"
#include "daemon/alarms/delivery/outbox.h"
#include "daemon/clock.h"

namespace quietpass {

// A channel, what it takes (an empty list: all), and how it is tried again.
struct DeliveryLane {
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

class Delivery final : public AlarmOutlet {
  public:
    using Say = std::function<void(bool warning, const std::string& line)>;

    // standing: told of each message before the channels are; lamps ask it. keep: what was handed over longer
    // ago is taken out of the outbox.
    Delivery(Outbox outbox, std::shared_ptr<StandingAlarms> standing, std::vector<DeliveryLane> lanes,
             const Clock& clock, Say say, std::chrono::hours keep);
    ~Delivery() override; // stop()

    void put(const AlarmMessage& message) override;

    std::vector<ChannelState> states() const;

    // Ends the threads; a hand-over under way has so long to end well. The rest stays in the outbox.
    void stop(std::chrono::milliseconds grace = std::chrono::seconds(3));

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
