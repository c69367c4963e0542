#include "daemon/web/http_server.h"

#include <boost/asio/ip/v6_only.hpp>
#include <thread>

#include "daemon/failure.h"
#include "daemon/web/server_core.h"

namespace quietpass {

namespace {

constexpr auto kLookAtSessionsEvery = std::chrono::seconds(1);
constexpr int kSendBufferBytes = 256 * 1024; // what the system holds for a client that doesn't read

// An IPv6 customer has 2^64 addresses.
std::string counted_as(const net::ip::address& address) {
    if (!address.is_v6() || address.to_v6().is_v4_mapped()) return address.to_string();
    auto bytes = address.to_v6().to_bytes();
    std::fill(bytes.begin() + 8, bytes.end(), static_cast<unsigned char>(0));
    return net::ip::address_v6(bytes).to_string();
}

std::string shown(const net::ip::address& address) {
    if (address.is_v6() && address.to_v6().is_v4_mapped())
        return net::ip::make_address_v4(net::ip::v4_mapped, address.to_v6()).to_string();
    return address.to_string();
}

} // namespace

struct HttpServer::Parts {
    struct Task {
        std::chrono::milliseconds interval;
        std::function<void()> work;
        net::steady_timer timer;
    };

    ServerCore core;
    net::basic_socket_acceptor<tcp, Executor> acceptor{core.io};
    net::steady_timer pause{core.io};
    std::vector<std::unique_ptr<Task>> tasks;
    std::thread thread;
    bool stopped = false;

    Parts(const PageSettings& page, const std::optional<TlsFiles>& tls, Handlers handlers,
          PageMetrics& metrics)
        : core(page, std::move(handlers), metrics) {
        if (tls) use(*tls);
        listen();
    }

    void use(const TlsFiles& files) {
        core.own_certificate = files.own;
        net::ssl::context& context = core.tls.emplace(net::ssl::context::tls_server);
        context.set_options(net::ssl::context::default_workarounds | net::ssl::context::no_sslv2 |
                            net::ssl::context::no_sslv3 | net::ssl::context::no_tlsv1 |
                            net::ssl::context::no_tlsv1_1);
        // Renegotiation and compression cost much and serve nobody here.
        SSL_CTX_set_options(context.native_handle(), SSL_OP_NO_RENEGOTIATION | SSL_OP_NO_COMPRESSION);
        context.use_certificate_chain(net::buffer(files.certificate));
        context.use_private_key(net::buffer(files.key), net::ssl::context::pem);
    }

    void listen() {
        const tcp::endpoint endpoint(net::ip::make_address(core.page.address),
                                     static_cast<unsigned short>(core.page.port));
        try {
            acceptor.open(endpoint.protocol());
            acceptor.set_option(net::socket_base::reuse_address(true));
            acceptor.bind(endpoint);
            acceptor.listen(net::socket_base::max_listen_connections);
        } catch (const boost::system::system_error& error) {
            throw Failure(kExitFailure, "[page] address " + core.page.address + ", port " +
                                            std::to_string(core.page.port) + ": can't listen there (" +
                                            error.code().message() +
                                            "); give another port, or stop what listens there");
        }
    }

    void accept() {
        acceptor.async_accept([this](beast::error_code error, Socket socket) {
            if (error == net::error::operation_aborted) return;
            if (!error) {
                take(std::move(socket));
                return accept();
            }
            // Out of descriptors or memory: some connection will end.
            pause.expires_after(std::chrono::milliseconds(100));
            pause.async_wait([this](beast::error_code ended) {
                if (!ended) accept();
            });
        });
    }

    void take(Socket socket) {
        beast::error_code error;
        const auto address = socket.remote_endpoint(error).address();
        if (error) return; // gone already
        const std::string key = counted_as(address);
        if (!Place::is_free(core, key)) return core.metrics.connection_refused();
        auto place = std::make_shared<Place>(core, key);
        socket.set_option(tcp::no_delay(true), error);
        socket.set_option(net::socket_base::send_buffer_size(kSendBufferBytes), error);
        if (core.tls) {
            serve_over_tls(core, std::move(place), std::move(socket), shown(address));
        } else {
            serve_in_the_clear(core, std::move(place), std::move(socket), shown(address));
        }
    }

    void repeat(Task& task) {
        task.timer.expires_after(task.interval);
        task.timer.async_wait([this, &task](beast::error_code ended) {
            if (ended) return;
            task.work();
            repeat(task);
        });
    }

    // Sessions that ended take their live feeds with them.
    void look_at_sessions() {
        std::set<std::string> sessions;
        for (const LiveClient* client : core.live) sessions.insert(client->session());
        if (sessions.empty()) return;
        core.run(false, [this, sessions = std::move(sessions)]() mutable {
            std::erase_if(sessions,
                          [this](const std::string& id) { return core.handlers.still_listens(id); });
            net::post(core.io, [this, ended = std::move(sessions)] {
                const auto clients = core.live; // drop() takes them out
                for (LiveClient* client : clients) {
                    if (ended.contains(client->session())) client->drop();
                }
            });
        });
    }
};

HttpServer::HttpServer(const PageSettings& page, const std::optional<TlsFiles>& tls, Handlers handlers,
                       PageMetrics& metrics)
    : parts_(std::make_unique<Parts>(page, tls, std::move(handlers), metrics)) {
    every(kLookAtSessionsEvery, [this] { parts_->look_at_sessions(); });
}

HttpServer::~HttpServer() {
    stop();
}

int HttpServer::port() const {
    return parts_->acceptor.local_endpoint().port();
}

void HttpServer::every(std::chrono::milliseconds interval, std::function<void()> work) {
    parts_->tasks.push_back(std::make_unique<Parts::Task>(
        Parts::Task{interval, std::move(work), net::steady_timer(parts_->core.io)}));
}

void HttpServer::start() {
    for (const auto& task : parts_->tasks) parts_->repeat(*task);
    parts_->accept();
    parts_->thread = std::thread([this] { parts_->core.io.run(); });
}

void HttpServer::stop() {
    if (std::exchange(parts_->stopped, true)) return;
    parts_->core.io.stop();
    if (parts_->thread.joinable()) parts_->thread.join();
    parts_->core.workers.stop(); // what waits is dropped, what runs is finished
    parts_->core.logins.stop();
    parts_->core.workers.join();
    parts_->core.logins.join();
}

bool HttpServer::on_worker(std::function<void()> work) {
    return parts_->core.run(false, std::move(work));
}

void HttpServer::on_socket_thread(std::function<void()> work) {
    net::post(parts_->core.io, std::move(work));
}

std::size_t HttpServer::live_clients() const {
    return parts_->core.live.size();
}

void HttpServer::broadcast(const Message& message) {
    const auto clients = parts_->core.live; // a client that is dropped leaves the set
    for (LiveClient* client : clients) client->send(message);
}

} // namespace quietpass
