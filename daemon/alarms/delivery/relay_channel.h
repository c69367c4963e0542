// A lamp: on while an alarm that it takes calls (raised, and neither acknowledged nor cleared), else off. It
// shows a state, not messages: after a time in which the output could not be reached it shows what stands
// now. The state is written again every reassert_s, so a device that restarted has it soon. A message counts
// as handed over when the output took the state that holds it.
//
// A lamp is a call for a person; it is no safety function, and nothing may be interlocked with it.
#pragma once

#include <functional>
#include <memory>
#include <string>

#include "daemon/alarms/delivery/delivery_channel.h"
#include "daemon/alarms/delivery/output_line.h"
#include "daemon/settings/delivery_settings.h"

namespace quietpass {

class RelayChannel final : public DeliveryChannel {
  public:
    // calls: whether one calls now; from any thread.
    RelayChannel(RelaySettings settings, std::unique_ptr<OutputLine> line, std::function<bool()> calls);

    std::string place() const override { return settings_.output; }
    HandOver hand_over(const AlarmMessage& message, const std::atomic<bool>& stop) override;
    std::optional<std::chrono::nanoseconds> tend_every() const override;
    std::string tend(const std::atomic<bool>& stop) override;
    // On for test_for_s, then what stands.
    HandOver test(const AlarmMessage& message, const std::atomic<bool>& stop) override;

  private:
    std::string show();

    RelaySettings settings_;
    std::unique_ptr<OutputLine> line_;
    std::function<bool()> calls_;
};

} // namespace quietpass
