// Who is logged in. In memory only: a restart of the daemon ends all sessions. A session ends after a while
// without use, after a longer while in any case (a wall screen's stays in use while its live feed is open),
// and at once when its account changed.
//
// Thread-safe: one lock, held for moments.
#pragma once

#include <cstdint>
#include <map>
#include <mutex>
#include <optional>
#include <set>
#include <string>
#include <unordered_map>

#include "daemon/clock.h"
#include "daemon/web/role.h"

namespace quietpass {

struct SessionLimits {
    double idle_s = 1800.0;
    double longest_s = 12 * 3600.0;
    double wall_longest_s = 30 * 86400.0; // a wall screen has no keyboard
    std::size_t most = 1000;
    std::size_t most_a_person = 20; // the one longest unused goes
};

struct Session {
    std::string id;    // the cookie, 64 hex digits
    std::string token; // against forged requests, 64 hex digits
    std::string name;
    PageRole role = PageRole::kWall;
    std::int64_t account_version = 0;
    std::int64_t started_ns = 0; // monotonic
    std::int64_t used_ns = 0;
};

class Sessions {
  public:
    // clock must outlive it.
    Sessions(const Clock& clock, SessionLimits limits) : clock_(clock), limits_(limits) {}

    // From now on, for those that are open too.
    void limit(SessionLimits limits);
    Session open(const std::string& name, PageRole role, std::int64_t account_version);
    // Nothing for one that is unknown or has ended. use: it counts as used now.
    std::optional<Session> find(const std::string& id, bool use = true);
    void close(const std::string& id);
    // Whether this session asks for this clip for the first time.
    bool first_play(const std::string& id, std::int64_t clip_id);
    std::size_t count() const;

  private:
    struct Held {
        Session session;
        std::set<std::int64_t> played;
    };
    bool ended(const Session& session, std::int64_t now_ns) const;
    void make_room(const std::string& name, std::int64_t now_ns);

    const Clock& clock_;
    SessionLimits limits_;
    mutable std::mutex lock_;
    std::unordered_map<std::string, Held> by_id_;
};

// Texts of one length are compared in a time that does not tell where they differ.
bool same_secret(const std::string& one, const std::string& other);

} // namespace quietpass
