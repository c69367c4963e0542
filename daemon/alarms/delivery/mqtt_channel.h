// A message as JSON to a topic of an MQTT broker, quality of service 1: the broker's PUBACK is the
// acknowledgement. The connection is kept and driven on the channel's thread; after any failure it is given
// up with all that libmosquitto still holds, because the outbox is what knows what is not acknowledged yet.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "daemon/alarms/delivery/delivery_channel.h"
#include "daemon/settings/secret_file.h"
#include "daemon/settings/delivery_settings.h"

namespace quietpass {

class MqttChannel final : public DeliveryChannel {
  public:
    MqttChannel(MqttSettings settings, std::optional<Login> login, double within_s);
    ~MqttChannel() override;

    std::string place() const override;
    HandOver hand_over(const AlarmMessage& message, const std::atomic<bool>& stop) override;
    // Answers the broker's questions after life.
    std::optional<std::chrono::nanoseconds> tend_every() const override;
    std::string tend(const std::atomic<bool>& stop) override;
    // Under another client id: the broker would throw out a daemon that runs.
    HandOver test(const AlarmMessage& message, const std::atomic<bool>& stop) override;

  private:
    struct Connection;
    HandOver publish(const AlarmMessage& message, const std::atomic<bool>& stop);

    MqttSettings settings_;
    std::optional<Login> login_;
    double within_s_;
    std::unique_ptr<Connection> connection_;
};

} // namespace quietpass
