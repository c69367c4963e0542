// The packets of one direction of an MQTT 3.1.1 connection, from its bytes as they come. Tests only; one
// thread.
#pragma once

#include <optional>
#include <string>

namespace quietpass::test {

struct MqttPacket {
    int kind = 0;        // 3: PUBLISH, 4: PUBACK (table 2.1 of the standard)
    int id = 0;          // of those two
    std::string payload; // of a PUBLISH
};

class MqttPackets {
  public:
    void take(const char* bytes, std::size_t count) { buffer_.append(bytes, count); }
    // The next whole one.
    std::optional<MqttPacket> next();

  private:
    std::string buffer_;
};

} // namespace quietpass::test
