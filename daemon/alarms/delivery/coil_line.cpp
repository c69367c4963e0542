#include "daemon/alarms/delivery/coil_line.h"

#include <modbus/modbus.h>

#include <cerrno>
#include <cstdint>
#include <string>

#include "daemon/contacts/modbus/modbus_trouble.h"

namespace quietpass {

namespace {

struct CloseModbus {
    void operator()(modbus_t* device) const {
        modbus_close(device);
        modbus_free(device);
    }
};

} // namespace

struct CoilLine::Parts {
    CoilAddress address;
    std::unique_ptr<modbus_t, CloseModbus> device;
    bool connected = false;
};

CoilLine::CoilLine(CoilAddress address, double answer_within_s)
    : parts_(std::make_unique<Parts>(Parts{std::move(address), nullptr, false})) {
    parts_->device.reset(
        modbus_new_tcp_pi(parts_->address.host.c_str(), std::to_string(parts_->address.port).c_str()));
    if (!parts_->device) return;
    const auto wait_us = static_cast<std::uint32_t>(answer_within_s * 1e6);
    modbus_set_response_timeout(parts_->device.get(), wait_us / 1'000'000, wait_us % 1'000'000);
    modbus_set_byte_timeout(parts_->device.get(), 0, 0);
    modbus_set_slave(parts_->device.get(), parts_->address.unit);
}

CoilLine::~CoilLine() = default;

std::string CoilLine::set(bool on) {
    modbus_t* const device = parts_->device.get();
    if (device == nullptr) return modbus_strerror(ENOMEM);
    // A connection that was open may have died unseen; a new one decides.
    for (const bool again : {parts_->connected, false}) {
        if (!parts_->connected && modbus_connect(device) != 0) return modbus_trouble(errno);
        parts_->connected = true;
        if (modbus_write_bit(device, parts_->address.number, on ? 1 : 0) == 1) return {};
        const int error = errno;
        modbus_close(device);
        parts_->connected = false;
        if (!again) return modbus_trouble(error);
    }
    return {};
}

} // namespace quietpass
