// One client of the live feed: a WebSocket that only sends. A client that doesn't keep up is dropped when its
// queue is full; one that doesn't answer pings when it was idle too long; one that talks is closed.
// On the sockets' thread. Only http_connection.h includes this.
#pragma once

#include <boost/beast/http.hpp>
#include <boost/beast/websocket.hpp>
#include <deque>

#include "daemon/web/server_core.h"

namespace quietpass {

namespace http = beast::http;
namespace websocket = beast::websocket;

template <typename Stream>
class LiveConnection final : public LiveClient, public std::enable_shared_from_this<LiveConnection<Stream>> {
  public:
    LiveConnection(ServerCore& core, std::shared_ptr<Place> place, Stream&& stream, std::string session)
        : core_(core), place_(std::move(place)), session_(std::move(session)), socket_(std::move(stream)) {}
    ~LiveConnection() override {
        if (core_.live.erase(this) > 0) core_.metrics.live_clients(core_.live.size());
    }

    template <typename Request>
    void accept(const Request& request) {
        beast::get_lowest_layer(socket_).expires_never(); // the WebSocket has deadlines of its own
        websocket::stream_base::timeout deadlines{};
        deadlines.handshake_timeout = duration(core_.page.header_s);
        deadlines.idle_timeout = duration(core_.page.idle_s);
        deadlines.keep_alive_pings = true;
        socket_.set_option(deadlines);
        socket_.read_message_max(1024);
        socket_.text(true);
        // The headers of this request are still read while the answer is made.
        const auto held = std::make_shared<Request>(request);
        socket_.async_accept(*held, [self = this->shared_from_this(), held](beast::error_code error) {
            if (error) return;
            self->core_.live.insert(self.get());
            self->core_.metrics.live_clients(self->core_.live.size());
            self->send(self->core_.handlers.hello());
            self->read();
        });
    }

    void send(const HttpServer::Message& message) override {
        if (dropped_) return;
        waiting_bytes_ += message->size() + kOverhead;
        if (waiting_bytes_ > static_cast<std::size_t>(core_.page.live_queue_kb) * 1024) {
            core_.metrics.live_dropped();
            drop();
            return;
        }
        queue_.push_back(message);
        if (queue_.size() == 1) write();
    }

    void drop() override {
        dropped_ = true;
        beast::get_lowest_layer(socket_).close(); // what is under way ends with an error
    }

    const std::string& session() const override { return session_; }

  private:
    static constexpr std::size_t kOverhead = 64; // of a message in the queue, so that small ones are bounded

    void write() {
        socket_.async_write(net::buffer(*queue_.front()),
                            [self = this->shared_from_this()](beast::error_code error, std::size_t) {
                                if (error || self->dropped_) return self->leave();
                                self->waiting_bytes_ -= self->queue_.front()->size() + kOverhead;
                                self->queue_.pop_front();
                                if (!self->queue_.empty()) self->write();
                            });
    }

    void read() {
        // It ended, or it talks, which nobody has to here.
        socket_.async_read(
            read_, [self = this->shared_from_this()](beast::error_code, std::size_t) { self->leave(); });
    }

    void leave() {
        if (core_.live.erase(this) > 0) core_.metrics.live_clients(core_.live.size());
        if (!dropped_) drop();
    }

    ServerCore& core_;
    std::shared_ptr<Place> place_;
    std::string session_;
    websocket::stream<Stream, false> socket_; // false: never compressed
    beast::flat_buffer read_{2048};
    std::deque<HttpServer::Message> queue_; // the first is being written
    std::size_t waiting_bytes_ = 0;
    bool dropped_ = false;
};

} // namespace quietpass
