// Where the alarms of the soak go: a webhook's server of this process that can be dead, angry or hanging.
// Counts how often it acknowledged each message. Thread-safe.
#pragma once

#include <map>
#include <string>

#include "tests/alarms/delivery/http_receiver.h"

namespace quietpass::soak {

class Receiver {
  public:
    enum class Mood { kWell, kDead, kAngry, kHangs };
    std::string url() const { return server_.url(); }
    void be(Mood mood);
    // Lets go of connections that are over; one under way is cut.
    void tidy();
    // Takes what came out of the server, so that its memory stays flat.
    const std::map<std::string, int>& acknowledged();
    std::size_t requests();

  private:
    void collect();

    test::HttpReceiver server_;
    Mood mood_ = Mood::kWell;
    std::map<std::string, int> acknowledged_;
    std::size_t requests_ = 0;
};

} // namespace quietpass::soak
