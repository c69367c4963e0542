// One connection to a Modbus device or serial line, by libmodbus: connects, reads the levels of all inputs,
// lets go.
//
// Any failure closes the connection: a late answer would else be taken for the next one. One thread uses it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/clock.h"
#include "daemon/contacts/addresses/modbus_address.h"
#include "daemon/contacts/modbus/modbus_ranges.h"

struct _modbus;

namespace quietpass {

class ModbusDevice {
  public:
    struct Read {
        std::vector<bool> levels; // of each input
        // Of each input: the middle between the sending of the request and its answer.
        std::vector<std::int64_t> at_ns;
        std::int64_t first_ns = 0; // the earliest of them, and the latest
        std::int64_t last_ns = 0;
    };

    // inputs: all of one source.
    ModbusDevice(std::vector<ModbusAddress> inputs, const Clock& clock, double answer_within_s);
    ~ModbusDevice();

    // Connects where that is needed. Nothing on a failure: why() says which.
    std::optional<Read> read_all();
    const std::string& why() const { return why_; }
    void disconnect();

  private:
    struct Free {
        void operator()(_modbus* device) const;
    };

    bool connect();
    bool read(const ModbusRange& range);
    bool level_in(const ModbusRange& range, const ModbusAddress& address) const;
    void rest() const;

    std::vector<ModbusAddress> inputs_;
    std::vector<ModbusRange> ranges_;
    const Clock& clock_;
    std::unique_ptr<_modbus, Free> device_;
    bool connected_ = false;
    std::vector<std::uint8_t> bits_;
    std::vector<std::uint16_t> registers_;
    std::string why_;
};

} // namespace quietpass
