// A TCP connection as a broken or hostile client has it, and a WebSocket that is read frame by frame. Tests
// only; one thread.
#pragma once

#include <arpa/inet.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <chrono>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

namespace quietpass::test {

class RawSocket {
  public:
    // receive_bytes: of the system's buffer; 0: as usual.
    explicit RawSocket(int port, int receive_bytes = 0)
        : socket_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
        if (receive_bytes > 0)
            setsockopt(socket_, SOL_SOCKET, SO_RCVBUF, &receive_bytes, sizeof receive_bytes);
        sockaddr_in to{};
        to.sin_family = AF_INET;
        to.sin_port = htons(static_cast<std::uint16_t>(port));
        inet_pton(AF_INET, "127.0.0.1", &to.sin_addr);
        connected_ = connect(socket_, reinterpret_cast<const sockaddr*>(&to), sizeof to) == 0;
    }
    ~RawSocket() { close(socket_); }
    RawSocket(const RawSocket&) = delete;
    RawSocket& operator=(const RawSocket&) = delete;

    bool connected() const { return connected_; }
    bool send(const std::string& bytes) {
        return ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL) ==
               static_cast<ssize_t>(bytes.size());
    }
    // Half of the connection is closed: nothing more will come from here.
    void sends_no_more() { shutdown(socket_, SHUT_WR); }
    // What is there within the time; empty at the end of it or of the connection (then `ended`).
    std::string receive(std::chrono::milliseconds within) {
        pollfd wait{socket_, POLLIN, 0};
        if (poll(&wait, 1, static_cast<int>(within.count())) <= 0) return {};
        std::string bytes(65536, '\0');
        const ssize_t got = recv(socket_, bytes.data(), bytes.size(), 0);
        ended = got <= 0;
        bytes.resize(got > 0 ? static_cast<std::size_t>(got) : 0);
        return bytes;
    }
    // true: the server closed it within the time; what came before is passed over.
    bool closes(std::chrono::milliseconds within) {
        const auto until = std::chrono::steady_clock::now() + within;
        while (!ended && std::chrono::steady_clock::now() < until) receive(std::chrono::milliseconds(50));
        return ended;
    }

    bool ended = false;

  private:
    int socket_;
    bool connected_ = false;
};

class LiveListener {
  public:
    LiveListener(int port, const std::string& cookie, const std::string& origin = "", int receive_bytes = 0)
        : socket_(port, receive_bytes) {
        socket_.send("GET /api/v1/live HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(port) +
                     "\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n"
                     "Sec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n" +
                     (origin.empty() ? "" : "Origin: " + origin + "\r\n") + "Cookie: " + cookie + "\r\n\r\n");
        while (bytes_.find("\r\n\r\n") == std::string::npos && more(std::chrono::seconds(10))) {
        }
        status = bytes_.size() > 12 ? std::stoi(bytes_.substr(9, 3)) : 0;
        bytes_.erase(0, bytes_.find("\r\n\r\n") + 4);
    }

    // The next message; nothing when none comes in time.
    std::optional<nlohmann::json> next(std::chrono::milliseconds within = std::chrono::seconds(10)) {
        while (true) {
            if (const auto text = frame()) {
                if (opcode_ == 1) return nlohmann::json::parse(*text);
                if (opcode_ == 8) return std::nullopt;
                continue; // a ping
            }
            if (!more(within)) return std::nullopt;
        }
    }
    std::optional<nlohmann::json> next_of(const std::string& kind) {
        while (auto message = next()) {
            if ((*message)["kind"] == kind) return message;
        }
        return std::nullopt;
    }
    bool closes(std::chrono::milliseconds within) { return socket_.closes(within); }
    bool send(const std::string& bytes) { return socket_.send(bytes); }

    int status = 0;

  private:
    bool more(std::chrono::milliseconds within) {
        const std::string bytes = socket_.receive(within);
        bytes_ += bytes;
        return !bytes.empty();
    }
    // RFC 6455 section 5.2; a server's frames aren't masked.
    std::optional<std::string> frame() {
        if (bytes_.size() < 2) return std::nullopt;
        const auto byte = [this](std::size_t at) { return static_cast<unsigned char>(bytes_[at]); };
        std::size_t length = byte(1) & 0x7fU;
        std::size_t at = 2;
        const std::size_t more_bytes = length == 126 ? 2 : length == 127 ? 8 : 0;
        if (bytes_.size() < at + more_bytes) return std::nullopt;
        if (more_bytes > 0) length = 0;
        for (std::size_t i = 0; i < more_bytes; ++i) length = length << 8U | byte(at++);
        if (bytes_.size() < at + length) return std::nullopt;
        opcode_ = byte(0) & 0x0fU;
        std::string text = bytes_.substr(at, length);
        bytes_.erase(0, at + length);
        return text;
    }

    RawSocket socket_;
    std::string bytes_;
    unsigned int opcode_ = 0;
};

} // namespace quietpass::test
