// A webhook's receiver: keeps each request, and answers as a test wishes. Tests only; thread-safe.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "tests/alarms/delivery/line_server.h"

namespace quietpass::test {

struct HttpRequest {
    std::string first_line;
    std::map<std::string, std::string> headers; // names in lower case
    std::string body;
    bool acknowledged = false; // a 2xx was sent
    std::chrono::steady_clock::time_point first_byte;

    std::string id() const { return headers.at("quietpass-id"); }
};

class HttpReceiver {
  public:
    // What it does with a request once its body is there.
    enum class Mood { kAnswer, kHang, kDieUnanswered, kDieHalfAnswered };

    explicit HttpReceiver(std::optional<TlsIdentity> tls = std::nullopt);

    std::string url(const std::string& path = "/alarms") const;
    int port() const { return server_.port(); }
    void kill() { server_.kill(); }
    void start() { server_.start(); }

    // kDie…: once, then kAnswer.
    void be(Mood mood) { mood_.store(mood); }
    void answer(int status) { status_.store(status); }

    std::vector<HttpRequest> requests() const;
    // The same, and forgets them.
    std::vector<HttpRequest> take_requests();
    // Ids of what it acknowledged, each as often as it did.
    std::map<std::string, int> acknowledged() const;
    // False after a minute.
    bool await_requests(std::size_t count) const;
    bool await_acknowledged(std::size_t ids) const;

  private:
    void serve(Conversation& conversation);

    std::string scheme_;
    std::atomic<Mood> mood_{Mood::kAnswer};
    std::atomic<int> status_{200};
    mutable std::mutex mutex_;
    mutable std::condition_variable came_;
    std::vector<HttpRequest> requests_; // under mutex_
    LineServer server_;                 // last: its threads use the others
};

} // namespace quietpass::test
