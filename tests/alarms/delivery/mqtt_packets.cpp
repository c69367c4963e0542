#include "tests/alarms/delivery/mqtt_packets.h"

namespace quietpass::test {

std::optional<MqttPacket> MqttPackets::next() {
    const auto byte = [this](std::size_t at) {
        return static_cast<std::size_t>(static_cast<unsigned char>(buffer_.at(at)));
    };
    // Remaining length: seven bits a byte, lowest first (2.2.3).
    std::size_t length = 0;
    std::size_t head = 1;
    for (int shift = 0;; shift += 7) {
        if (buffer_.size() <= head) return std::nullopt;
        const std::size_t digit = byte(head++);
        length |= (digit & 127) << shift;
        if (digit < 128) break;
    }
    if (buffer_.size() < head + length) return std::nullopt;
    MqttPacket packet;
    packet.kind = static_cast<int>(byte(0) >> 4);
    const auto word = [&](std::size_t at) { return byte(at) << 8 | byte(at + 1); };
    if (packet.kind == 3) {
        const std::size_t behind_topic = head + 2 + word(head);
        packet.id = static_cast<int>(word(behind_topic)); // at quality of service 1
        packet.payload = buffer_.substr(behind_topic + 2, head + length - behind_topic - 2);
    } else if (packet.kind == 4) {
        packet.id = static_cast<int>(word(head));
    }
    buffer_.erase(0, head + length);
    return packet;
}

} // namespace quietpass::test
