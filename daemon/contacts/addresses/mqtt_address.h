// A contact whose state a broker tells: mqtt://host[:port]/TOPIC, or mqtts:// over TLS.
//
// port: 1883, over TLS 8883 (the registered ports of MQTT) when left out. TOPIC: all that follows the slash,
// one topic without the wildcards + and #. A login stands in a file, named by the contact's `login_file`.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

inline constexpr int kMqttPort = 1883;
inline constexpr int kMqttTlsPort = 8883;

struct MqttAddress {
    std::string host;
    int port = kMqttPort;
    bool tls = false;
    std::string topic;

    // One connection: "mqtt://host:port", "mqtts://host:port".
    std::string source() const;
    const std::string& place() const { return topic; }
};

inline constexpr std::string_view kMqttForm = "mqtt://host:port/TOPIC or mqtts://host:port/TOPIC";

// Nothing for anything that isn't of that form.
std::optional<MqttAddress> mqtt_address_from(std::string_view input);

} // namespace quietpass
