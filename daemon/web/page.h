// The page as a whole: accounts, sessions, the JSON interface, static files, the live feed and the server.
// Other machines than this one are served only with TLS and somebody who may log in.
//
// Threads: made, started and stopped on one thread; what comes from the station through feed() alone; the
// rest is the server's. Errors: Failure, exit 2 for an address that may not be served yet, else as the parts.
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>

#include "daemon/clock.h"
#include "daemon/settings/station_settings.h"
#include "daemon/web/live_feed.h"
#include "daemon/web/sessions.h"

namespace quietpass {

// What the page reaches beyond itself.
struct PageLinks {
    std::function<void()> reload = {}; // the daemon is to take its settings anew; from any thread
    Sessions* sessions = nullptr;      // that outlive the page; null: its own
};

class Page {
  public:
    using Say = std::function<void(bool warning, const std::string& line)>;

    // clock: of people, real time. out: the folder of records.db, which is there. feed, clock and what `say`
    // refers to must outlive it; say is called from any thread.
    Page(const StationSettings& settings, const Clock& clock, const std::filesystem::path& out,
         LiveFeed& feed, Say say, PageLinks links = {});
    ~Page();

    void start();
    void stop();
    std::string address() const; // "https://127.0.0.1:8730/"

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
