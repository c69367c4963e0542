#include "tests/alarms/delivery/line_server.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <csignal>
#include <stdexcept>

namespace quietpass::test {

namespace {

constexpr int kOn = 1;

sockaddr_in loopback(int port) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    return address;
}

} // namespace

Conversation::Conversation(int socket) : socket_(socket) {
    setsockopt(socket_, IPPROTO_TCP, TCP_NODELAY, &kOn, sizeof kOn);
}

Conversation::~Conversation() {
    if (tls_ != nullptr) SSL_free(tls_);
    if (context_ != nullptr) SSL_CTX_free(context_);
    close(socket_);
}

bool Conversation::fill() {
    char bytes[4096];
    const auto got = tls_ != nullptr ? static_cast<ssize_t>(SSL_read(tls_, bytes, sizeof bytes))
                                     : recv(socket_, bytes, sizeof bytes, 0);
    if (got <= 0) return false;
    buffer_.append(bytes, static_cast<std::size_t>(got));
    return true;
}

std::optional<std::string> Conversation::line() {
    std::size_t end = 0;
    while ((end = buffer_.find('\n')) == std::string::npos) {
        if (!fill()) return std::nullopt;
    }
    std::string text = buffer_.substr(0, end);
    buffer_.erase(0, end + 1);
    if (text.ends_with('\r')) text.pop_back();
    return text;
}

std::optional<std::string> Conversation::bytes(std::size_t count) {
    while (buffer_.size() < count) {
        if (!fill()) return std::nullopt;
    }
    std::string text = buffer_.substr(0, count);
    buffer_.erase(0, count);
    return text;
}

bool Conversation::say(const std::string& text) {
    const auto size = static_cast<int>(text.size());
    if (tls_ != nullptr) return SSL_write(tls_, text.data(), size) == size;
    return send(socket_, text.data(), text.size(), MSG_NOSIGNAL) == size;
}

bool Conversation::start_tls(const TlsIdentity& identity) {
    context_ = SSL_CTX_new(TLS_server_method());
    if (SSL_CTX_use_certificate_file(context_, identity.certificate.c_str(), SSL_FILETYPE_PEM) != 1 ||
        SSL_CTX_use_PrivateKey_file(context_, identity.key.c_str(), SSL_FILETYPE_PEM) != 1) {
        return false;
    }
    tls_ = SSL_new(context_);
    SSL_set_fd(tls_, socket_);
    return SSL_accept(tls_) == 1;
}

void Conversation::cut() {
    // Both ways at once; a client that writes on gets a reset.
    shutdown(socket_, SHUT_RDWR);
}

void Conversation::hang() {
    while (fill()) {
    }
}

LineServer::LineServer(Serve serve, std::optional<TlsIdentity> tls)
    : serve_(std::move(serve)), tls_(std::move(tls)) {
    // SSL_write to a client that left would else end the test.
    std::signal(SIGPIPE, SIG_IGN);
    start();
}

LineServer::~LineServer() {
    kill();
}

void LineServer::start() {
    kill();
    const int listener = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    setsockopt(listener, SOL_SOCKET, SO_REUSEADDR, &kOn, sizeof kOn);
    sockaddr_in address = loopback(port_);
    socklen_t size = sizeof address;
    if (bind(listener, reinterpret_cast<sockaddr*>(&address), size) != 0 || listen(listener, 64) != 0) {
        close(listener);
        throw std::runtime_error("the test's server has no port");
    }
    getsockname(listener, reinterpret_cast<sockaddr*>(&address), &size);
    port_ = ntohs(address.sin_port);
    {
        const std::lock_guard lock(mutex_);
        listener_ = listener;
    }
    thread_ = std::thread([this, listener] { accept_all(listener); });
}

void LineServer::accept_all(int listener) {
    for (;;) {
        const int client = accept4(listener, nullptr, nullptr, SOCK_CLOEXEC);
        if (client < 0) return;
        const std::lock_guard lock(mutex_);
        if (listener_ < 0) {
            close(client);
            return;
        }
        Served& served = served_.emplace_back();
        served.conversation = std::make_unique<Conversation>(client);
        served.thread = std::thread([this, conversation = served.conversation.get()] {
            if (!tls_ || conversation->start_tls(*tls_)) serve_(*conversation);
            conversation->cut();
        });
    }
}

void LineServer::die() {
    const std::lock_guard lock(mutex_);
    if (listener_ >= 0) shutdown(listener_, SHUT_RDWR); // wakes accept, and refuses from now on
    listener_ = -1;
    for (Served& served : served_) served.conversation->cut();
}

void LineServer::kill() {
    int listener = -1;
    {
        const std::lock_guard lock(mutex_);
        listener = listener_;
    }
    die();
    if (thread_.joinable()) thread_.join();
    std::list<Served> served;
    {
        const std::lock_guard lock(mutex_);
        served.swap(served_);
    }
    for (Served& each : served) each.thread.join();
    if (listener >= 0) close(listener);
}

} // namespace quietpass::test
