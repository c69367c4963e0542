#include "tests/alarms/delivery/coil_device.h"

#include <chrono>

namespace quietpass::test {

namespace {

using namespace std::chrono_literals;

template <typename Holds>
bool coil_awaited(Holds holds) {
    const auto give_up = std::chrono::steady_clock::now() + 1min;
    while (!holds()) {
        if (std::chrono::steady_clock::now() > give_up) return false;
        std::this_thread::sleep_for(1ms);
    }
    return true;
}

} // namespace

CoilDevice::CoilDevice() {
    start();
}

CoilDevice::~CoilDevice() {
    kill();
}

void CoilDevice::start() {
    kill();
    server_.forget();
    server_.down(false);
    server_.serve(0ns); // listens from here on
    thread_ = std::jthread([this](const std::stop_token& stop) {
        while (!stop.stop_requested()) server_.serve(5ms);
    });
}

void CoilDevice::kill() {
    if (thread_.joinable()) {
        thread_.request_stop();
        thread_.join();
    }
    server_.down(true);
    server_.serve(0ns); // closes all
}

bool CoilDevice::await_coil(int number, bool on) const {
    return coil_awaited([&] { return coil(number) == on; });
}

bool CoilDevice::await_writes(int count) const {
    return coil_awaited([&] { return writes() >= count; });
}

} // namespace quietpass::test
