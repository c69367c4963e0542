#include "tests/contacts/modbus_server.h"

#include <arpa/inet.h>
#include <modbus/modbus.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <cstring>
#include <mutex>
#include <string>
#include <vector>

#include "daemon/failure.h"
#include "tests/contacts/modbus_levels.h"

namespace quietpass {

namespace {

constexpr int kNumbers = 65536;

struct FreeModbus {
    void operator()(modbus_t* device) const { modbus_free(device); }
    void operator()(modbus_mapping_t* mapping) const { modbus_mapping_free(mapping); }
};

} // namespace

struct ModbusServer::Parts {
    std::unique_ptr<modbus_t, FreeModbus> device;
    int port = 0;
    std::atomic<int> connections{0};
    std::atomic<int> requests{0};
    std::atomic<int> coil_writes{0};

    std::mutex mutex;
    // Under mutex.
    std::unique_ptr<modbus_mapping_t, FreeModbus> bits;
    bool muted = false;
    bool is_down = false;
    bool dropping = false;

    // Of serve() alone.
    int listener = -1;
    std::vector<int> clients;

    bool listen();
    void hang_up();
    void answer(int client);
};

bool ModbusServer::Parts::listen() {
    device.reset(modbus_new_tcp("127.0.0.1", port));
    if (!device) return false;
    listener = modbus_tcp_listen(device.get(), 8);
    if (listener < 0) return false;
    // A frame that stops half-way holds nobody up for long.
    modbus_set_indication_timeout(device.get(), 0, 500'000);
    sockaddr_in address{};
    socklen_t size = sizeof address;
    if (getsockname(listener, reinterpret_cast<sockaddr*>(&address), &size) != 0) return false;
    port = ntohs(address.sin_port);
    return true;
}

void ModbusServer::Parts::hang_up() {
    for (const int client : clients) close(client);
    clients.clear();
}

void ModbusServer::Parts::answer(int client) {
    std::uint8_t request[MODBUS_TCP_MAX_ADU_LENGTH];
    modbus_set_socket(device.get(), client);
    const int length = modbus_receive(device.get(), request);
    bool alive = length >= 0;
    if (length > 0) {
        const std::lock_guard lock(mutex);
        ++requests;
        if (!muted) alive = modbus_reply(device.get(), request, length, bits.get()) >= 0;
        const bool writes = request[modbus_get_header_length(device.get())] == MODBUS_FC_WRITE_SINGLE_COIL;
        if (writes && !muted) ++coil_writes;
    }
    if (alive) return;
    close(client);
    std::erase(clients, client);
}

ModbusServer::ModbusServer(int port) : parts_(std::make_unique<Parts>()) {
    parts_->port = port;
    parts_->bits.reset(modbus_mapping_new(kNumbers, kNumbers, kNumbers, kNumbers));
    if (!parts_->bits || !parts_->listen()) {
        throw Failure(kExitFailure, "127.0.0.1:" + std::to_string(port) + ": can't serve Modbus here (" +
                                        std::strerror(errno) + "); give another --port");
    }
}

ModbusServer::~ModbusServer() {
    parts_->hang_up();
    if (parts_->listener >= 0) close(parts_->listener);
}

int ModbusServer::port() const {
    return parts_->port;
}

void ModbusServer::set(ModbusTable table, int number, bool level, int bit) {
    const std::lock_guard lock(parts_->mutex);
    set_level(*parts_->bits, table, number, bit, level);
}

bool ModbusServer::coil(int number) const {
    const std::lock_guard lock(parts_->mutex);
    return parts_->bits->tab_bits[number] != 0;
}

int ModbusServer::coil_writes() const {
    return parts_->coil_writes;
}

void ModbusServer::forget() {
    const std::lock_guard lock(parts_->mutex);
    parts_->bits.reset(modbus_mapping_new(kNumbers, kNumbers, kNumbers, kNumbers));
}

void ModbusServer::mute(bool on) {
    const std::lock_guard lock(parts_->mutex);
    parts_->muted = on;
}

void ModbusServer::down(bool on) {
    const std::lock_guard lock(parts_->mutex);
    parts_->is_down = on;
}

void ModbusServer::drop_clients() {
    const std::lock_guard lock(parts_->mutex);
    parts_->dropping = true;
}

int ModbusServer::connections() const {
    return parts_->connections;
}

int ModbusServer::requests() const {
    return parts_->requests;
}

void ModbusServer::serve(std::chrono::nanoseconds at_most) {
    bool down = false;
    {
        const std::lock_guard lock(parts_->mutex);
        down = parts_->is_down;
        if (down || parts_->dropping) parts_->hang_up();
        parts_->dropping = false;
    }
    if (down && parts_->listener >= 0) {
        close(parts_->listener);
        parts_->listener = -1;
    }
    if (!down && parts_->listener < 0) parts_->listen();

    std::vector<pollfd> watched;
    if (parts_->listener >= 0) watched.push_back({parts_->listener, POLLIN, 0});
    for (const int client : parts_->clients) watched.push_back({client, POLLIN, 0});
    const timespec wait{at_most.count() / 1'000'000'000, at_most.count() % 1'000'000'000};
    if (ppoll(watched.data(), watched.size(), &wait, nullptr) <= 0) return;
    for (const pollfd& ready : watched) {
        if (ready.revents == 0) continue;
        if (ready.fd != parts_->listener) {
            parts_->answer(ready.fd);
            continue;
        }
        const int client = accept4(parts_->listener, nullptr, nullptr, SOCK_CLOEXEC);
        if (client < 0) continue;
        parts_->clients.push_back(client);
        ++parts_->connections;
    }
}

} // namespace quietpass
