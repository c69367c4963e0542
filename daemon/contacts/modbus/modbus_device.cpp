#include "daemon/contacts/modbus/modbus_device.h"

#include <modbus/modbus.h>

#include <algorithm>
#include <cerrno>
#include <thread>

#include "daemon/contacts/modbus/modbus_trouble.h"
#include "daemon/contacts/source_thread.h"

namespace quietpass {

void ModbusDevice::Free::operator()(_modbus* device) const {
    modbus_close(device);
    modbus_free(device);
}

ModbusDevice::ModbusDevice(std::vector<ModbusAddress> inputs, const Clock& clock, double answer_within_s)
    : inputs_(std::move(inputs)), ranges_(modbus_ranges(inputs_)), clock_(clock) {
    const ModbusAddress& first = inputs_.front();
    if (first.serial) {
        const SerialLine& line = *first.serial;
        device_.reset(
            modbus_new_rtu(line.device.c_str(), line.baud, line.parity, line.data_bits, line.stop_bits));
    } else {
        device_.reset(modbus_new_tcp_pi(first.host.c_str(), std::to_string(first.port).c_str()));
    }
    if (!device_) return; // out of memory: read_all() fails as if the device were away
    const auto wait_us = static_cast<std::uint32_t>(answer_within_s * 1e6);
    modbus_set_response_timeout(device_.get(), wait_us / 1'000'000, wait_us % 1'000'000);
    // No limit for single bytes: the one above then holds for the whole answer.
    modbus_set_byte_timeout(device_.get(), 0, 0);
}

ModbusDevice::~ModbusDevice() = default;

bool ModbusDevice::connect() {
    if (connected_) return true;
    if (!device_) {
        errno = ENOMEM;
        return false;
    }
    connected_ = modbus_connect(device_.get()) == 0;
    return connected_;
}

std::optional<ModbusDevice::Read> ModbusDevice::read_all() {
    Read all{std::vector<bool>(inputs_.size()), std::vector<std::int64_t>(inputs_.size())};
    bool good = connect();
    for (auto range = ranges_.begin(); good && range != ranges_.end(); ++range) {
        rest();
        const std::int64_t sent_ns = clock_.monotonic_ns();
        good = read(*range);
        if (!good) break;
        const std::int64_t at_ns = sent_ns + (clock_.monotonic_ns() - sent_ns) / 2;
        if (range == ranges_.begin()) all.first_ns = at_ns;
        all.last_ns = at_ns;
        for (std::size_t i = 0; i < inputs_.size(); ++i) {
            if (!range->holds(inputs_[i])) continue;
            all.levels[i] = level_in(*range, inputs_[i]);
            all.at_ns[i] = at_ns;
        }
    }
    if (good) return all;
    why_ = modbus_trouble(errno);
    disconnect();
    return std::nullopt;
}

bool ModbusDevice::read(const ModbusRange& range) {
    const auto count = static_cast<std::size_t>(range.count);
    modbus_t* const device = device_.get();
    modbus_set_slave(device, range.unit);
    bits_.assign(is_register(range.table) ? 0 : count, 0);
    registers_.assign(is_register(range.table) ? count : 0, 0);
    int got = -1;
    switch (range.table) {
        case ModbusTable::kDiscrete:
            got = modbus_read_input_bits(device, range.first, range.count, bits_.data());
            break;
        case ModbusTable::kCoil:
            got = modbus_read_bits(device, range.first, range.count, bits_.data());
            break;
        case ModbusTable::kHolding:
            got = modbus_read_registers(device, range.first, range.count, registers_.data());
            break;
        case ModbusTable::kInput:
            got = modbus_read_input_registers(device, range.first, range.count, registers_.data());
            break;
    }
    return got == range.count;
}

bool ModbusDevice::level_in(const ModbusRange& range, const ModbusAddress& address) const {
    const auto place = static_cast<std::size_t>(address.number - range.first);
    if (!is_register(range.table)) return bits_[place] != 0;
    return ((registers_[place] >> address.bit) & 1) != 0;
}

// Requests on a serial line are told apart by a silence of 3.5 letters, at least 1.75 ms (Modbus over serial
// line 1.02, section 2.5.1.1, from memory); libmodbus leaves it to its caller.
void ModbusDevice::rest() const {
    const auto& serial = inputs_.front().serial;
    if (!serial) return;
    std::this_thread::sleep_for(real_seconds(std::max(3.5 * serial->letter_s(), 0.00175)));
}

void ModbusDevice::disconnect() {
    if (!connected_) return;
    modbus_flush(device_.get());
    modbus_close(device_.get());
    connected_ = false;
}

} // namespace quietpass
