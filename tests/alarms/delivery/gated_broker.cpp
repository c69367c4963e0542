#include "tests/alarms/delivery/gated_broker.h"

#include <arpa/inet.h>
#include <mosquitto.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <chrono>
#include <stdexcept>
#include <utility>

namespace quietpass::test {

namespace {

constexpr std::chrono::minutes kPatience{1};

sockaddr_in loopback_at(int port) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    return address;
}

int bound_socket(int& port) {
    const int made = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    constexpr int kOn = 1;
    setsockopt(made, SOL_SOCKET, SO_REUSEADDR, &kOn, sizeof kOn);
    sockaddr_in address = loopback_at(port);
    socklen_t size = sizeof address;
    if (bind(made, reinterpret_cast<sockaddr*>(&address), size) != 0) throw std::runtime_error("no port");
    getsockname(made, reinterpret_cast<sockaddr*>(&address), &size);
    port = ntohs(address.sin_port);
    return made;
}

int connected_socket(int port) {
    const int made = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address = loopback_at(port);
    if (connect(made, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0) return made;
    close(made);
    return -1;
}

// What came; empty when that side is gone.
std::string received(int from) {
    char bytes[4096];
    const ssize_t got = recv(from, bytes, sizeof bytes, 0);
    return got <= 0 ? "" : std::string(bytes, static_cast<std::size_t>(got));
}

bool sent(int to, const std::string& bytes) {
    return send(to, bytes.data(), bytes.size(), MSG_NOSIGNAL) == static_cast<ssize_t>(bytes.size());
}

} // namespace

GatedBroker::GatedBroker(MqttBroker::Doors doors) : broker_(std::move(doors)) {
    mosquitto_lib_init();
    gate_listener_ = bound_socket(gate_port_);
    listen(gate_listener_, 8);
    gate_thread_ = std::thread([this] { gate(); });
    subscribe();
    open_.store(true);
}

GatedBroker::~GatedBroker() {
    kill();
    stopping_.store(true);
    gate_thread_.join();
    close(gate_listener_);
}

void GatedBroker::start() {
    kill();
    broker_.start();
    subscribe();
    open_.store(true);
}

void GatedBroker::subscribe() {
    listener_ = mosquitto_new("test-listener", true, this);
    mosquitto_connect_callback_set(
        listener_, [](mosquitto* client, void*, int) { mosquitto_subscribe(client, nullptr, "#", 1); });
    mosquitto_subscribe_callback_set(listener_, [](mosquitto*, void* self, int, int, const int*) {
        auto& broker = *static_cast<GatedBroker*>(self);
        const std::lock_guard lock(broker.mutex_);
        broker.subscribed_ = true;
        broker.came_.notify_all();
    });
    mosquitto_message_callback_set(listener_, [](mosquitto*, void* self, const mosquitto_message* message) {
        auto& broker = *static_cast<GatedBroker*>(self);
        const std::lock_guard lock(broker.mutex_);
        broker.payloads_.emplace_back(static_cast<const char*>(message->payload),
                                      static_cast<std::size_t>(message->payloadlen));
        broker.came_.notify_all();
    });
    mosquitto_connect(listener_, "127.0.0.1", broker_.port(), 30);
    mosquitto_loop_start(listener_);
    std::unique_lock lock(mutex_);
    if (!came_.wait_for(lock, kPatience, [this] { return subscribed_; })) {
        throw std::runtime_error("the broker does not answer");
    }
}

void GatedBroker::drop_listener() {
    if (listener_ == nullptr) return;
    // Its thread ends by itself: cancelled in the middle of a message it would leak that.
    mosquitto_disconnect(listener_);
    mosquitto_loop_stop(listener_, false);
    mosquitto_destroy(listener_);
    listener_ = nullptr;
    const std::lock_guard lock(mutex_);
    subscribed_ = false;
}

void GatedBroker::kill() {
    open_.store(false);
    drop_listener();
    broker_.kill();
}

void GatedBroker::gate() {
    int client = -1;
    int broker = -1;
    MqttPackets up;
    MqttPackets down;
    std::map<int, std::string> under_way; // payloads by packet id
    const auto close_both = [&] {
        if (client >= 0) close(client);
        if (broker >= 0) close(broker);
        client = broker = -1;
        up = down = {};
        under_way.clear();
    };
    const auto pass_up = [&] {
        const std::string bytes = received(client);
        up.take(bytes.data(), bytes.size());
        while (const auto packet = up.next()) {
            if (packet->kind != 3) continue;
            under_way[packet->id] = packet->payload;
            const std::lock_guard lock(mutex_);
            repeats_ += acknowledged_.contains(packet->payload) ? 1 : 0;
        }
        return !bytes.empty() && sent(broker, bytes);
    };
    const auto pass_down = [&] {
        const std::string bytes = received(broker);
        if (swallow_.load()) return !bytes.empty();
        if (bytes.empty() || !sent(client, bytes)) return false;
        down.take(bytes.data(), bytes.size());
        while (const auto packet = down.next()) {
            if (packet->kind != 4) continue;
            const std::lock_guard lock(mutex_);
            ++acknowledged_[under_way[packet->id]];
        }
        return true;
    };
    while (!stopping_.load()) {
        pollfd waits[] = {{gate_listener_, POLLIN, 0}, {client, POLLIN, 0}, {broker, POLLIN, 0}};
        poll(waits, 3, 5);
        // What the broker said before it was killed still counts.
        if (client >= 0 && waits[2].revents != 0 && !pass_down()) close_both();
        if (client >= 0 && waits[1].revents != 0 && (!open_.load() || !pass_up())) close_both();
        if (waits[0].revents == 0) continue;
        // The newest publisher is the one.
        close_both();
        client = accept(gate_listener_, nullptr, nullptr);
        broker = open_.load() ? connected_socket(broker_.port()) : -1;
        if (broker < 0) close_both();
    }
    close_both();
}

std::map<std::string, int> GatedBroker::acknowledged() const {
    const std::lock_guard lock(mutex_);
    return acknowledged_;
}

int GatedBroker::repeats() const {
    const std::lock_guard lock(mutex_);
    return repeats_;
}

std::vector<std::string> GatedBroker::payloads() const {
    const std::lock_guard lock(mutex_);
    return payloads_;
}

bool GatedBroker::await_payloads(std::size_t count) const {
    std::unique_lock lock(mutex_);
    return came_.wait_for(lock, kPatience, [&] { return payloads_.size() >= count; });
}

} // namespace quietpass::test
