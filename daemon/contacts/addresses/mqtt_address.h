// A contact whose state a broker tells: mqtt://host[:port]/TOPIC.
//
// port: 1883 (the registered port of MQTT) when left out. TOPIC: all that follows the slash, one topic
// without the wildcards + and #. A login stands in a file, named by the contact's `login_file`.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

struct MqttAddress {
    std::string host;
    int port = 1883;
    std::string topic;

    // One connection: "mqtt://host:port".
    std::string source() const;
    const std::string& place() const { return topic; }
};

inline constexpr std::string_view kMqttForm = "mqtt://host:port/TOPIC";

// Nothing for anything that isn't of that form.
std::optional<MqttAddress> mqtt_address_from(std::string_view input);

} // namespace quietpass
