#include "daemon/contacts/addresses/mqtt_address.h"

#include <algorithm>

#include "daemon/contacts/addresses/address_reader.h"

namespace quietpass {

namespace {
constexpr std::size_t kLongestTopic = 65535; // bytes, MQTT 3.1.1 section 1.5.3
}

std::string MqttAddress::source() const {
    return (tls ? "mqtts://" : "mqtt://") + host_and_port(host, port);
}

std::optional<MqttAddress> mqtt_address_from(std::string_view text) {
    MqttAddress address;
    AddressReader input(text);
    address.tls = input.eat("mqtts://");
    if (address.tls) address.port = kMqttTlsPort;
    if (!address.tls && !input.eat("mqtt://")) return std::nullopt;
    const auto host = input.eat_host();
    if (!host) return std::nullopt;
    const auto port = input.eat_port(address.port);
    if (!port || !input.eat("/")) return std::nullopt;
    const std::string_view topic = input.rest();
    const bool good = std::all_of(topic.begin(), topic.end(), [](char letter) {
        return static_cast<unsigned char>(letter) >= ' ' && letter != 127 && letter != '+' && letter != '#';
    });
    if (topic.empty() || topic.size() > kLongestTopic || !good) return std::nullopt;
    address.host = *host;
    address.port = *port;
    address.topic = topic;
    return address;
}

} // namespace quietpass
