// What all connections of an HttpServer share. Only http_server.cpp and the files its connections are made of
// include this. On the sockets' thread, but run().
#pragma once

#include <atomic>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/ssl/context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/thread_pool.hpp>
#include <boost/beast/core.hpp>
#include <map>
#include <set>

#include "daemon/web/http_server.h"

namespace quietpass {

namespace net = boost::asio;
namespace beast = boost::beast;
using tcp = net::ip::tcp;

// Of the one kind of executor there is here: asio's that stands for any makes its templates a third longer to
// compile.
using Executor = net::io_context::executor_type;
using Socket = net::basic_stream_socket<tcp, Executor>;
using TcpStream = beast::basic_stream<tcp, Executor>;

inline std::chrono::nanoseconds duration(double seconds) {
    return std::chrono::nanoseconds(static_cast<std::int64_t>(seconds * 1e9));
}

// A live feed's client.
class LiveClient {
  public:
    virtual ~LiveClient() = default;
    virtual void send(const HttpServer::Message& message) = 0;
    virtual void drop() = 0; // at once
    virtual const std::string& session() const = 0;
};

struct ServerCore {
    static constexpr int kMostWaiting = 128;
    static constexpr int kMostLogins = 8; // each takes some tenths of a second

    PageSettings page;
    HttpServer::Handlers handlers;
    PageMetrics& metrics;
    std::size_t open = 0;
    std::map<std::string, int> open_of; // by address
    std::set<LiveClient*> live;
    std::optional<net::ssl::context> tls;
    bool own_certificate = false;
    std::atomic<int> working{0};
    std::atomic<int> logging_in{0};
    net::io_context io{1}; // last but the pools: connections that go with it use what stands above
    net::thread_pool workers{2};
    net::thread_pool logins{1};

    ServerCore(const PageSettings& settings, HttpServer::Handlers what, PageMetrics& figures)
        : page(settings), handlers(std::move(what)), metrics(figures) {}

    // false: too much waits.
    template <typename Work>
    bool run(bool slow, Work work) {
        std::atomic<int>& waiting = slow ? logging_in : working;
        if (waiting.fetch_add(1) >= (slow ? kMostLogins : kMostWaiting)) {
            waiting.fetch_sub(1);
            return false;
        }
        net::post(slow ? logins : workers, [&waiting, work = std::move(work)]() mutable {
            work();
            waiting.fetch_sub(1);
        });
        return true;
    }
};

// A connection's place among those that may be open, for as long as it lives.
class Place {
  public:
    Place(ServerCore& core, std::string address) : core_(core), address_(std::move(address)) {
        ++core_.open_of[address_];
        core_.metrics.connections(++core_.open);
    }
    ~Place() {
        const auto found = core_.open_of.find(address_);
        if (--found->second == 0) core_.open_of.erase(found);
        core_.metrics.connections(--core_.open);
    }
    Place(const Place&) = delete;
    Place& operator=(const Place&) = delete;

    static bool is_free(const ServerCore& core, const std::string& address) {
        if (core.open >= static_cast<std::size_t>(core.page.connections)) return false;
        const auto found = core.open_of.find(address);
        return found == core.open_of.end() || found->second < core.page.connections_per_address;
    }

  private:
    ServerCore& core_;
    std::string address_;
};

// Serves one connection from its first byte to its end (clear_connections.cpp, tls_connections.cpp).
void serve_in_the_clear(ServerCore& core, std::shared_ptr<Place> place, Socket socket, std::string address);
void serve_over_tls(ServerCore& core, std::shared_ptr<Place> place, Socket socket, std::string address);

} // namespace quietpass
