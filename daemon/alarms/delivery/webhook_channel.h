// A message as JSON to an address by HTTP POST, signed. FORMATS.md has the headers. Any 2xx is the
// acknowledgement; a redirect is not followed. A new connection each time: a stale one never costs a try.
#pragma once

#include <string>

#include "daemon/alarms/delivery/delivery_channel.h"
#include "daemon/clock.h"
#include "daemon/settings/delivery_settings.h"

namespace quietpass {

class WebhookChannel final : public DeliveryChannel {
  public:
    // key: signs the bodies. The clock must outlive the channel.
    WebhookChannel(WebhookSettings settings, std::string key, double within_s, const Clock& clock);

    std::string place() const override;
    HandOver hand_over(const AlarmMessage& message, const std::atomic<bool>& stop) override;

  private:
    WebhookSettings settings_;
    std::string key_;
    double within_s_;
    const Clock& clock_;
};

} // namespace quietpass
