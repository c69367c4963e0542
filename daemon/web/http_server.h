// HTTP/1.1 and WebSocket for the page, with or without TLS (Boost.Beast, OpenSSL): sockets, limits and
// deadlines. What is asked and answered is the handlers' business.
//
// Threads: one for all sockets, which never waits for a disk or a client; two workers that run `answer`,
// `may_listen` and `still_listens`; one more for what `is_slow` says (logins). What waits for a worker is
// bounded, beyond it the answer is 503. A client's memory is bounded too: a header of 16 KiB, a body of
// 64 KiB, answers piece by piece, live_queue_kb of live messages.
//
// Errors: Failure (exit 1) when the address can't be had.
#pragma once

#include <chrono>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "daemon/settings/page_settings.h"
#include "daemon/web/page_metrics.h"
#include "daemon/web/tls_files.h"
#include "daemon/web/web_message.h"

namespace quietpass {

class HttpServer {
  public:
    using Message = std::shared_ptr<const std::string>;

    struct Handlers {
        std::function<WebAnswer(const WebRequest&)> answer;
        std::function<bool(const WebRequest&)> is_slow;
        // Of the path /api/v1/live: the id of the session that may listen, else the refusal.
        std::function<std::optional<std::string>(const WebRequest&, WebAnswer& refusal)> may_listen;
        std::function<bool(const std::string& session_id)> still_listens;
        std::function<Message()> hello; // on the sockets' thread
    };

    // Listens from here on, serves from start() on. metrics must outlive it.
    HttpServer(const PageSettings& page, const std::optional<TlsFiles>& tls, Handlers handlers,
               PageMetrics& metrics);
    ~HttpServer(); // stop()

    int port() const;
    // Before start(): `work` on the sockets' thread, again and again.
    void every(std::chrono::milliseconds interval, std::function<void()> work);
    void start();
    // Closes all connections; what runs on a worker is finished. Again: nothing.
    void stop();

    // On a worker, from any thread; false: too much waits, it is dropped.
    bool on_worker(std::function<void()> work);
    // On the sockets' thread, from any thread.
    void on_socket_thread(std::function<void()> work);
    // How many listen to the live feed; on the sockets' thread.
    std::size_t live_clients() const;
    // To all live clients; on the sockets' thread.
    void broadcast(const Message& message);

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
