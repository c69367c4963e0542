// What the service manager (systemd) is told: ready, status, still making progress. Without one, nothing
// happens. One thread. Source: sd_notify(3), sd_watchdog_enabled(3).
#pragma once

#include <cstdint>
#include <string>

#include "daemon/clock.h"

namespace quietpass {

class ServiceManager {
  public:
    ServiceManager();

    void ready();
    void stopping();
    void status(const std::string& line);

    // Feeds the watchdog when samples went through since the last call; call it often. A chain that stands
    // still is not fed, and the service manager restarts the daemon.
    void progress(std::int64_t samples_so_far);

  private:
    RealClock clock_;
    std::int64_t feed_every_ns_ = 0; // 0: no watchdog asked for
    std::int64_t fed_ns_ = 0;
    std::int64_t fed_samples_ = -1;
};

} // namespace quietpass
