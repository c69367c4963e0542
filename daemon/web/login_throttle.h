// Slows down who guesses passwords. After some failures of one account, or more of one address, the next try
// must wait, each time twice as long up to a most, so that nobody is locked out for good by another's
// guessing. A success forgets the account's failures, not the address's. Common practice, no source.
//
// Thread-safe. Bounded: of the keys kept, the one longest unused goes.
#pragma once

#include <cstdint>
#include <map>
#include <mutex>
#include <string>

#include "daemon/clock.h"

namespace quietpass {

struct ThrottleLimits {
    int free_of_account = 5;
    int free_of_address = 20;
    double first_wait_s = 2.0;
    double longest_wait_s = 300.0;
    double forget_after_s = 3600.0;
    std::size_t most_keys = 10'000;
};

class LoginThrottle {
  public:
    explicit LoginThrottle(const Clock& clock, ThrottleLimits limits = {}) : clock_(clock), limits_(limits) {}

    // Seconds until a try is looked at again; 0: now.
    double wait_s(const std::string& account, const std::string& address);
    // Gives the wait that follows.
    double failed(const std::string& account, const std::string& address);
    void succeeded(const std::string& account);

  private:
    struct Count {
        int failures = 0;
        std::int64_t last_ns = 0; // monotonic
    };
    double wait_of(const std::string& key, int free, std::int64_t now_ns) const;
    void count(const std::string& key, std::int64_t now_ns);

    const Clock& clock_;
    ThrottleLimits limits_;
    std::mutex lock_;
    std::map<std::string, Count> counts_;
};

} // namespace quietpass
