#include "tests/contacts/line_device.h"

#include <arpa/inet.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <cstring>
#include <mutex>
#include <optional>
#include <thread>

#include "daemon/contacts/line/line_message.h"
#include "daemon/failure.h"
#include "tests/contacts/pty.h"

namespace quietpass {

namespace {

using Time = std::chrono::steady_clock;
using namespace std::chrono_literals;

constexpr auto kHeartbeat = 10ms;

} // namespace

struct LineDevice::Parts {
    explicit Parts(States the_states) : states(std::move(the_states)) {}

    void serve();
    void tell_all();
    void tell(const std::string& input, char state, Time::time_point stamped);
    void send(const std::string& body, Time::time_point stamped);
    void write_line(const std::string& line);
    void read_wishes();

    std::optional<Pty> pty;
    int listener = -1;
    int port = 0;
    std::atomic<bool> stopping{false};
    std::atomic<bool> is_silent{false};
    std::atomic<bool> is_deaf{false};
    std::atomic<int> asked{0};

    std::mutex mutex; // of all that follows
    int peer = -1;
    States states;
    std::string heard;
    Time::time_point started = Time::now() - 1h; // it ran for a while already
    Time::time_point last_sent;

    std::thread thread;
};

LineDevice::LineDevice(int port, States states) : parts_(std::make_unique<Parts>(std::move(states))) {
    parts_->listener = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    const int yes = 1;
    setsockopt(parts_->listener, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    socklen_t size = sizeof address;
    if (bind(parts_->listener, reinterpret_cast<sockaddr*>(&address), size) != 0 ||
        listen(parts_->listener, 4) != 0 ||
        getsockname(parts_->listener, reinterpret_cast<sockaddr*>(&address), &size) != 0) {
        throw Failure(kExitFailure, "127.0.0.1:" + std::to_string(port) + ": " + std::strerror(errno));
    }
    parts_->port = ntohs(address.sin_port);
    parts_->thread = std::thread([this] { parts_->serve(); });
}

LineDevice::LineDevice(const std::string& path, States states)
    : parts_(std::make_unique<Parts>(std::move(states))) {
    parts_->pty.emplace(path);
    parts_->peer = parts_->pty->fd();
    parts_->thread = std::thread([this] { parts_->serve(); });
}

LineDevice::~LineDevice() {
    parts_->stopping = true;
    parts_->thread.join();
    if (parts_->listener < 0) return;
    if (parts_->peer >= 0) close(parts_->peer);
    close(parts_->listener);
}

int LineDevice::port() const {
    return parts_->port;
}

void LineDevice::set(const std::string& input, char state) {
    set_late(input, state, 0);
}

void LineDevice::set_late(const std::string& input, char state, int late_ms) {
    const std::lock_guard lock(parts_->mutex);
    const Time::time_point stamped = Time::now();
    std::this_thread::sleep_for(late_ms * 1ms);
    parts_->states[input] = state;
    parts_->tell(input, state, stamped);
}

void LineDevice::say(const std::string& line) {
    const std::lock_guard lock(parts_->mutex);
    parts_->write_line(line);
}

void LineDevice::silent(bool on) {
    parts_->is_silent = on;
}

void LineDevice::restart_clock() {
    const std::lock_guard lock(parts_->mutex);
    parts_->started = Time::now();
}

void LineDevice::deaf(bool on) {
    parts_->is_deaf = on;
}

int LineDevice::asked() const {
    return parts_->asked;
}

void LineDevice::Parts::serve() {
    while (!stopping) {
        pollfd watched[2] = {{listener, POLLIN, 0}, {peer, POLLIN, 0}};
        poll(watched, 2, 2);
        const std::lock_guard lock(mutex);
        if (listener >= 0 && (watched[0].revents & POLLIN) != 0) {
            if (peer >= 0) close(peer);
            peer = accept4(listener, nullptr, nullptr, SOCK_CLOEXEC);
            heard.clear();
        } else if (peer >= 0 && (watched[1].revents & POLLIN) != 0) {
            read_wishes();
        }
        if (Time::now() - last_sent >= kHeartbeat) send("alive", Time::now());
    }
}

void LineDevice::Parts::read_wishes() {
    char bytes[256];
    const ssize_t count = read(peer, bytes, sizeof bytes);
    if (count <= 0) {
        if (listener >= 0) {
            close(peer);
            peer = -1;
        }
        return;
    }
    heard.append(bytes, static_cast<std::size_t>(count));
    for (auto end = heard.find('\n'); end != std::string::npos; end = heard.find('\n')) {
        if (heard.substr(0, end) == "state") {
            ++asked;
            if (!is_deaf) tell_all();
        }
        heard.erase(0, end + 1);
    }
}

void LineDevice::Parts::tell_all() {
    for (const auto& [input, state] : states) tell(input, state, Time::now());
}

void LineDevice::Parts::tell(const std::string& input, char state, Time::time_point stamped) {
    send("in " + input + " " + state, stamped);
}

void LineDevice::Parts::send(const std::string& body, Time::time_point stamped) {
    const auto ms = std::chrono::duration_cast<std::chrono::milliseconds>(stamped - started).count();
    const std::string line = body + " " + std::to_string(ms);
    write_line(line + " *" + line_checksum(line));
}

void LineDevice::Parts::write_line(const std::string& line) {
    if (is_silent || peer < 0) return;
    const std::string sent = line + "\r\n";
    [[maybe_unused]] const ssize_t ignored =
        pty ? ::write(peer, sent.data(), sent.size()) : ::send(peer, sent.data(), sent.size(), MSG_NOSIGNAL);
    last_sent = Time::now();
}

} // namespace quietpass
