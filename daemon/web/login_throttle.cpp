#include "daemon/web/login_throttle.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

namespace {

std::string account_key(const std::string& account) {
    return "account " + account.substr(0, 64);
}

std::string address_key(const std::string& address) {
    return "address " + address;
}

} // namespace

double LoginThrottle::wait_of(const std::string& key, int free, std::int64_t now_ns) const {
    const auto found = counts_.find(key);
    if (found == counts_.end() || found->second.failures < free) return 0.0;
    const double since_s = static_cast<double>(now_ns - found->second.last_ns) * 1e-9;
    if (since_s > limits_.forget_after_s) return 0.0;
    const double wait_s =
        std::min(limits_.longest_wait_s, limits_.first_wait_s * std::exp2(found->second.failures - free));
    return std::max(0.0, wait_s - since_s);
}

double LoginThrottle::wait_s(const std::string& account, const std::string& address) {
    const std::int64_t now_ns = clock_.monotonic_ns();
    const std::lock_guard held(lock_);
    return std::max(wait_of(account_key(account), limits_.free_of_account, now_ns),
                    wait_of(address_key(address), limits_.free_of_address, now_ns));
}

void LoginThrottle::count(const std::string& key, std::int64_t now_ns) {
    if (counts_.size() >= limits_.most_keys && !counts_.contains(key)) {
        counts_.erase(std::min_element(
            counts_.begin(), counts_.end(),
            [](const auto& one, const auto& other) { return one.second.last_ns < other.second.last_ns; }));
    }
    Count& count = counts_[key];
    if (static_cast<double>(now_ns - count.last_ns) * 1e-9 > limits_.forget_after_s) count.failures = 0;
    count.failures = std::min(count.failures + 1, 1000);
    count.last_ns = now_ns;
}

double LoginThrottle::failed(const std::string& account, const std::string& address) {
    const std::int64_t now_ns = clock_.monotonic_ns();
    const std::lock_guard held(lock_);
    count(account_key(account), now_ns);
    count(address_key(address), now_ns);
    return std::max(wait_of(account_key(account), limits_.free_of_account, now_ns),
                    wait_of(address_key(address), limits_.free_of_address, now_ns));
}

void LoginThrottle::succeeded(const std::string& account) {
    const std::lock_guard held(lock_);
    counts_.erase(account_key(account));
}

} // namespace quietpass
