#include "tests/alarms/delivery/broker.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <mosquitto.h>
#include <netinet/in.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <stdexcept>

extern char** environ;

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

Broker::Broker(std::filesystem::path folder) : folder_(std::move(folder)) {
    open_doors();
}

Broker::Broker(std::filesystem::path folder, const TlsIdentity& identity, const std::string& user,
               const std::string& password)
    : folder_(std::move(folder)) {
    std::filesystem::create_directories(folder_);
    const std::string passwords = (folder_ / "passwords").string();
    std::ofstream(passwords) << user << ":" << password << "\n";
    if (std::system(("mosquitto_passwd -U " + passwords).c_str()) != 0) { // NOLINT(concurrency-mt-unsafe)
        throw std::runtime_error("no mosquitto_passwd");
    }
    close(bound_socket(tls_port_));
    tls_door_ = "listener " + std::to_string(tls_port_) +
                " 127.0.0.1\nallow_anonymous false\npassword_file " + passwords + "\ncertfile " +
                identity.certificate + "\nkeyfile " + identity.key + "\n";
    open_doors();
}

void Broker::open_doors() {
    mosquitto_lib_init();
    std::filesystem::create_directories(folder_);
    close(bound_socket(port_));
    gate_listener_ = bound_socket(gate_port_);
    listen(gate_listener_, 8);
    gate_thread_ = std::thread([this] { gate(); });
    start();
}

Broker::~Broker() {
    kill();
    stopping_.store(true);
    gate_thread_.join();
    close(gate_listener_);
}

void Broker::start() {
    kill();
    std::ofstream(folder_ / "broker.conf") << "per_listener_settings true\nuser root\npersistence "
                                              "false\nlog_dest stderr\nlog_type all\nlistener "
                                           << port_ << " 127.0.0.1\nallow_anonymous true\n"
                                           << tls_door_;
    posix_spawn_file_actions_t actions{};
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, (folder_ / "broker.log").c_str(),
                                     O_WRONLY | O_CREAT | O_TRUNC, 0600);
    posix_spawn_file_actions_addclosefrom_np(&actions, STDERR_FILENO + 1);
    std::string program = MOSQUITTO_PROGRAM;
    std::string option = "-c";
    std::string file = (folder_ / "broker.conf").string();
    char* words[] = {program.data(), option.data(), file.data(), nullptr};
    const int failed = posix_spawn(&process_, program.c_str(), &actions, nullptr, words, environ);
    posix_spawn_file_actions_destroy(&actions);
    if (failed != 0) throw std::runtime_error("no mosquitto at " + program);
    subscribe();
    open_.store(true);
}

void Broker::subscribe() {
    listener_ = mosquitto_new("test-listener", true, this);
    mosquitto_connect_callback_set(
        listener_, [](mosquitto* client, void*, int) { mosquitto_subscribe(client, nullptr, "#", 1); });
    mosquitto_subscribe_callback_set(listener_, [](mosquitto*, void* self, int, int, const int*) {
        auto& broker = *static_cast<Broker*>(self);
        const std::lock_guard lock(broker.mutex_);
        broker.subscribed_ = true;
        broker.came_.notify_all();
    });
    mosquitto_message_callback_set(listener_, [](mosquitto*, void* self, const mosquitto_message* message) {
        auto& broker = *static_cast<Broker*>(self);
        const std::lock_guard lock(broker.mutex_);
        broker.payloads_.emplace_back(static_cast<const char*>(message->payload),
                                      static_cast<std::size_t>(message->payloadlen));
        broker.came_.notify_all();
    });
    const auto give_up = std::chrono::steady_clock::now() + kPatience;
    while (mosquitto_connect(listener_, "127.0.0.1", port_, 30) != MOSQ_ERR_SUCCESS) {
        if (std::chrono::steady_clock::now() > give_up) throw std::runtime_error("the broker does not start");
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    mosquitto_loop_start(listener_);
    std::unique_lock lock(mutex_);
    if (!came_.wait_for(lock, kPatience, [this] { return subscribed_; })) {
        throw std::runtime_error("the broker does not answer");
    }
}

void Broker::drop_listener() {
    if (listener_ == nullptr) return;
    mosquitto_disconnect(listener_);
    mosquitto_loop_stop(listener_, true);
    mosquitto_destroy(listener_);
    listener_ = nullptr;
    const std::lock_guard lock(mutex_);
    subscribed_ = false;
}

void Broker::kill() {
    open_.store(false);
    if (process_ > 0) {
        ::kill(process_, SIGKILL);
        waitpid(process_, nullptr, 0);
        process_ = -1;
    }
    drop_listener();
}

void Broker::gate() {
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
        broker = open_.load() ? connected_socket(port_) : -1;
        if (broker < 0) close_both();
    }
    close_both();
}

std::map<std::string, int> Broker::acknowledged() const {
    const std::lock_guard lock(mutex_);
    return acknowledged_;
}

int Broker::repeats() const {
    const std::lock_guard lock(mutex_);
    return repeats_;
}

std::vector<std::string> Broker::payloads() const {
    const std::lock_guard lock(mutex_);
    return payloads_;
}

bool Broker::await_payloads(std::size_t count) const {
    std::unique_lock lock(mutex_);
    return came_.wait_for(lock, kPatience, [&] { return payloads_.size() >= count; });
}

std::string Broker::log() const {
    std::ifstream file(folder_ / "broker.log");
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

} // namespace quietpass::test
