#include "daemon/commands/service_manager.h"

#include <systemd/sd-daemon.h>

namespace quietpass {

ServiceManager::ServiceManager() {
    std::uint64_t limit_us = 0;
    if (sd_watchdog_enabled(0, &limit_us) > 0)
        feed_every_ns_ = static_cast<std::int64_t>(limit_us) * 1000 / 3;
}

void ServiceManager::ready() {
    sd_notify(0, "READY=1");
}

void ServiceManager::stopping() {
    sd_notify(0, "STOPPING=1");
}

void ServiceManager::status(const std::string& line) {
    sd_notify(0, ("STATUS=" + line).c_str());
}

void ServiceManager::progress(std::int64_t samples_so_far) {
    if (feed_every_ns_ == 0 || samples_so_far == fed_samples_) return;
    const std::int64_t now_ns = clock_.monotonic_ns();
    if (now_ns - fed_ns_ < feed_every_ns_) return;
    fed_ns_ = now_ns;
    fed_samples_ = samples_so_far;
    sd_notify(0, "WATCHDOG=1");
}

} // namespace quietpass
