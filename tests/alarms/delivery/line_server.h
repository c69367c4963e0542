// A TCP server on loopback that a test can kill and start again on the same port. Tests only.
//
// Each connection is served on a thread of its own by `serve`, which reads and writes its Conversation and
// returns when it is over; it is told of a kill by a failing read or write. die() may be called from `serve`.
#pragma once

#include <openssl/ssl.h>

#include <atomic>
#include <functional>
#include <list>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "tests/servers/tls_identity.h"

namespace quietpass::test {

// One connection. Methods return nothing or false when the other side, or the server, is gone.
class Conversation {
  public:
    explicit Conversation(int socket);
    ~Conversation();
    Conversation(const Conversation&) = delete;
    Conversation& operator=(const Conversation&) = delete;

    std::optional<std::string> line(); // without CR LF
    std::optional<std::string> bytes(std::size_t count);
    bool say(const std::string& text);
    bool start_tls(const TlsIdentity& identity);
    // Ends it at once, without a goodbye, from any thread.
    void cut();
    // Returns when the other side or the server is gone.
    void hang();

  private:
    bool fill();

    int socket_;
    SSL_CTX* context_ = nullptr;
    SSL* tls_ = nullptr;
    std::string buffer_;
};

class LineServer {
  public:
    using Serve = std::function<void(Conversation&)>;

    // tls: from the first byte on. The port is kept through kill() and start().
    LineServer(Serve serve, std::optional<TlsIdentity> tls);
    ~LineServer();

    int port() const { return port_; }
    void kill(); // no more connections, those there are cut
    void start();
    // kill() from inside serve().
    void die();

  private:
    struct Served {
        std::unique_ptr<Conversation> conversation;
        std::thread thread;
    };
    void accept_all(int listener);
    void stop_listening();

    Serve serve_;
    std::optional<TlsIdentity> tls_;
    int port_ = 0;
    std::mutex mutex_;
    int listener_ = -1;        // under mutex_
    std::list<Served> served_; // under mutex_
    std::thread thread_;
};

} // namespace quietpass::test
