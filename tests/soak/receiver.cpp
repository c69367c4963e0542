#include "tests/soak/receiver.h"

#include <utility>

namespace quietpass::soak {

void Receiver::be(Mood mood) {
    using Server = test::HttpReceiver::Mood;
    if (std::exchange(mood_, mood) == Mood::kDead && mood != Mood::kDead) server_.start();
    server_.answer(mood == Mood::kAngry ? 500 : 200);
    server_.be(mood == Mood::kHangs ? Server::kHang : Server::kAnswer);
    if (mood == Mood::kDead) server_.kill();
}

void Receiver::tidy() {
    if (mood_ != Mood::kDead) server_.start();
    collect();
}

void Receiver::collect() {
    for (const test::HttpRequest& request : server_.take_requests()) {
        ++requests_;
        if (request.acknowledged) ++acknowledged_[request.id()];
    }
}

const std::map<std::string, int>& Receiver::acknowledged() {
    collect();
    return acknowledged_;
}

std::size_t Receiver::requests() {
    collect();
    return requests_;
}

} // namespace quietpass::soak
