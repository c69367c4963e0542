// A program that is started for each message, without a shell: the message as JSON on its standard input, its
// parts in its environment (FORMATS.md has both). Exit 0 is the acknowledgement. A run longer than the time
// for a try is killed with all that it started. Its standard output goes nowhere, its standard error is the
// daemon's.
#pragma once

#include "daemon/alarms/delivery/delivery_channel.h"
#include "daemon/settings/delivery_settings.h"

namespace quietpass {

class CommandChannel final : public DeliveryChannel {
  public:
    CommandChannel(CommandSettings settings, double within_s);

    std::string place() const override { return settings_.program; }
    HandOver hand_over(const AlarmMessage& message, const std::atomic<bool>& stop) override;

  private:
    CommandSettings settings_;
    double within_s_;
};

} // namespace quietpass
