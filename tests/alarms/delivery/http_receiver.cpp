#include "tests/alarms/delivery/http_receiver.h"

#include <algorithm>
#include <utility>

namespace quietpass::test {

namespace {

constexpr std::chrono::minutes kHttpPatience{1};

std::map<std::string, int> acknowledged_of(const std::vector<HttpRequest>& requests) {
    std::map<std::string, int> ids;
    for (const HttpRequest& request : requests) {
        if (request.acknowledged) ++ids[request.id()];
    }
    return ids;
}

} // namespace

HttpReceiver::HttpReceiver(std::optional<TlsIdentity> tls)
    : server_([this](Conversation& conversation) { serve(conversation); }, tls) {
    scheme_ = tls ? "https" : "http";
}

std::string HttpReceiver::url(const std::string& path) const {
    return scheme_ + "://127.0.0.1:" + std::to_string(server_.port()) + path;
}

void HttpReceiver::serve(Conversation& conversation) {
    HttpRequest request;
    const auto first = conversation.line();
    request.first_byte = std::chrono::steady_clock::now();
    if (!first) return;
    request.first_line = *first;
    for (auto line = conversation.line();; line = conversation.line()) {
        if (!line) return;
        if (line->empty()) break;
        const std::size_t colon = line->find(':');
        std::string name = line->substr(0, colon);
        std::transform(name.begin(), name.end(), name.begin(),
                       [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
        request.headers[name] = line->substr(std::min(colon + 2, line->size()));
    }
    const auto body = conversation.bytes(std::stoul(request.headers["content-length"]));
    if (!body) return;
    request.body = *body;

    const Mood mood = mood_.load();
    const int status = status_.load();
    const auto keep = [&] {
        {
            const std::lock_guard lock(mutex_);
            requests_.push_back(request);
        }
        came_.notify_all();
    };
    switch (mood) {
        case Mood::kAnswer: {
            // An answer that a kill kept from leaving was none.
            const bool left = conversation.say("HTTP/1.1 " + std::to_string(status) +
                                               " Said\r\nContent-Length: 2\r\nConnection: close\r\n\r\nok");
            request.acknowledged = left && status >= 200 && status < 300;
            keep();
            return;
        }
        case Mood::kHang:
            keep();
            conversation.hang();
            return;
        case Mood::kDieHalfAnswered:
            conversation.say("HTTP/1.");
            [[fallthrough]];
        case Mood::kDieUnanswered:
            mood_.store(Mood::kAnswer);
            server_.die();
            keep();
    }
}

std::vector<HttpRequest> HttpReceiver::requests() const {
    const std::lock_guard lock(mutex_);
    return requests_;
}

std::vector<HttpRequest> HttpReceiver::take_requests() {
    const std::lock_guard lock(mutex_);
    return std::exchange(requests_, {});
}

std::map<std::string, int> HttpReceiver::acknowledged() const {
    return acknowledged_of(requests());
}

bool HttpReceiver::await_requests(std::size_t count) const {
    std::unique_lock lock(mutex_);
    return came_.wait_for(lock, kHttpPatience, [&] { return requests_.size() >= count; });
}

bool HttpReceiver::await_acknowledged(std::size_t ids) const {
    std::unique_lock lock(mutex_);
    return came_.wait_for(lock, kHttpPatience, [&] { return acknowledged_of(requests_).size() >= ids; });
}

} // namespace quietpass::test
