#include "tests/alarms/delivery/coil_device.h"

#include <arpa/inet.h>
#include <modbus/modbus.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <chrono>
#include <memory>
#include <stdexcept>
#include <vector>

namespace quietpass::test {

namespace {

template <typename Holds>
bool wait_until(Holds holds) {
    const auto give_up = std::chrono::steady_clock::now() + std::chrono::minutes(1);
    while (!holds()) {
        if (std::chrono::steady_clock::now() > give_up) return false;
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    return true;
}

struct FreeModbus {
    void operator()(modbus_t* device) const { modbus_free(device); }
    void operator()(modbus_mapping_t* mapping) const { modbus_mapping_free(mapping); }
};

} // namespace

CoilDevice::CoilDevice() {
    start();
}

CoilDevice::~CoilDevice() {
    kill();
}

void CoilDevice::start() {
    kill();
    const int listener = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    constexpr int kOn = 1;
    setsockopt(listener, SOL_SOCKET, SO_REUSEADDR, &kOn, sizeof kOn);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port_));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    if (bind(listener, reinterpret_cast<sockaddr*>(&address), size) != 0 || listen(listener, 8) != 0) {
        close(listener);
        throw std::runtime_error("the test's device has no port");
    }
    getsockname(listener, reinterpret_cast<sockaddr*>(&address), &size);
    port_ = ntohs(address.sin_port);
    for (auto& coil : coils_) coil.store(false);
    stopping_.store(false);
    thread_ = std::thread([this, listener] { run(listener); });
}

void CoilDevice::kill() {
    stopping_.store(true);
    if (thread_.joinable()) thread_.join();
}

void CoilDevice::run(int listener) {
    const std::unique_ptr<modbus_t, FreeModbus> device(modbus_new_tcp("127.0.0.1", port_));
    const std::unique_ptr<modbus_mapping_t, FreeModbus> mapping(
        modbus_mapping_new(static_cast<int>(coils_.size()), 0, 0, 0));
    std::vector<pollfd> waits = {{listener, POLLIN, 0}};
    while (!stopping_.load()) {
        poll(waits.data(), waits.size(), 5);
        for (std::size_t i = 1; i < waits.size(); ++i) {
            if (waits[i].revents == 0) continue;
            std::array<std::uint8_t, MODBUS_TCP_MAX_ADU_LENGTH> request{};
            modbus_set_socket(device.get(), waits[i].fd);
            const int length = modbus_receive(device.get(), request.data());
            if (length > 0) {
                const int function =
                    request[static_cast<std::size_t>(modbus_get_header_length(device.get()))];
                modbus_reply(device.get(), request.data(), length, mapping.get());
                for (std::size_t coil = 0; coil < coils_.size(); ++coil) {
                    coils_[coil].store(mapping->tab_bits[coil] != 0);
                }
                if (function == MODBUS_FC_WRITE_SINGLE_COIL) ++writes_;
            } else if (length < 0) {
                close(waits[i].fd);
                waits.erase(waits.begin() + static_cast<std::ptrdiff_t>(i));
                break;
            }
        }
        if (waits[0].revents != 0) waits.push_back({accept(listener, nullptr, nullptr), POLLIN, 0});
    }
    for (const pollfd& wait : waits) close(wait.fd);
}

bool CoilDevice::await_coil(int number, bool on) const {
    return wait_until([&] { return coil(number) == on; });
}

bool CoilDevice::await_writes(int count) const {
    return wait_until([&] { return writes() >= count; });
}

} // namespace quietpass::test
