#include "tests/contacts/modbus_rtu_device.h"

#include <modbus/modbus.h>
#include <poll.h>

#include <atomic>
#include <mutex>
#include <thread>

#include "daemon/failure.h"
#include "tests/contacts/modbus_levels.h"
#include "tests/contacts/pty.h"

namespace quietpass {

namespace {

constexpr int kNumbers = 256;

struct FreeModbus {
    void operator()(modbus_t* device) const { modbus_free(device); }
    void operator()(modbus_mapping_t* mapping) const { modbus_mapping_free(mapping); }
};

} // namespace

struct ModbusRtuDevice::Parts {
    explicit Parts(const std::string& path) : port(path) {}

    void serve();

    Pty port;
    std::unique_ptr<modbus_t, FreeModbus> device;
    std::mutex mutex;
    std::unique_ptr<modbus_mapping_t, FreeModbus> memory; // under mutex
    std::atomic<bool> stopping{false};
    std::thread thread;
};

ModbusRtuDevice::ModbusRtuDevice(const std::string& path, int unit, const std::vector<int>& closed)
    : parts_(std::make_unique<Parts>(path)) {
    parts_->device.reset(modbus_new_rtu(path.c_str(), 115200, 'N', 8, 1));
    parts_->memory.reset(modbus_mapping_new(kNumbers, kNumbers, kNumbers, kNumbers));
    if (!parts_->device || !parts_->memory) throw Failure(kExitFailure, path + ": no memory");
    modbus_set_slave(parts_->device.get(), unit);
    modbus_set_socket(parts_->device.get(), parts_->port.fd());
    for (const int number : closed) set(ModbusTable::kDiscrete, number, true);
    parts_->thread = std::thread([this] { parts_->serve(); });
}

ModbusRtuDevice::~ModbusRtuDevice() {
    parts_->stopping = true;
    parts_->thread.join();
}

void ModbusRtuDevice::set(ModbusTable table, int number, bool level, int bit) {
    const std::lock_guard lock(parts_->mutex);
    set_level(*parts_->memory, table, number, bit, level);
}

void ModbusRtuDevice::Parts::serve() {
    while (!stopping) {
        pollfd ready{port.fd(), POLLIN, 0};
        if (poll(&ready, 1, 1) <= 0) continue;
        std::uint8_t request[MODBUS_RTU_MAX_ADU_LENGTH];
        const int length = modbus_receive(device.get(), request);
        if (length <= 0) continue;
        const std::lock_guard lock(mutex);
        modbus_reply(device.get(), request, length, memory.get());
    }
}

} // namespace quietpass
