#include "daemon/web/sessions.h"

#include <sodium.h>

#include <array>

namespace quietpass {

namespace {

std::string random_hex() {
    std::array<unsigned char, 32> bytes{};
    randombytes_buf(bytes.data(), bytes.size());
    std::string hex(2 * bytes.size() + 1, '\0');
    sodium_bin2hex(hex.data(), hex.size(), bytes.data(), bytes.size());
    hex.pop_back();
    return hex;
}

double seconds(std::int64_t ns) {
    return static_cast<double>(ns) * 1e-9;
}

} // namespace

bool same_secret(const std::string& one, const std::string& other) {
    return one.size() == other.size() && sodium_memcmp(one.data(), other.data(), one.size()) == 0;
}

bool Sessions::ended(const Session& session, std::int64_t now_ns) const {
    const double longest_s = session.role == PageRole::kWall ? limits_.wall_longest_s : limits_.longest_s;
    return seconds(now_ns - session.used_ns) > limits_.idle_s ||
           seconds(now_ns - session.started_ns) > longest_s;
}

void Sessions::make_room(const std::string& name, std::int64_t now_ns) {
    std::erase_if(by_id_, [&](const auto& entry) { return ended(entry.second.session, now_ns); });
    const auto remove_oldest = [this](const std::string* of) {
        auto oldest = by_id_.end();
        for (auto at = by_id_.begin(); at != by_id_.end(); ++at) {
            if (of != nullptr && at->second.session.name != *of) continue;
            if (oldest == by_id_.end() || at->second.session.used_ns < oldest->second.session.used_ns)
                oldest = at;
        }
        if (oldest != by_id_.end()) by_id_.erase(oldest);
    };
    std::size_t of_person = 0;
    for (const auto& [id, held] : by_id_) of_person += held.session.name == name ? 1 : 0;
    if (of_person >= limits_.most_a_person) remove_oldest(&name);
    if (by_id_.size() >= limits_.most) remove_oldest(nullptr);
}

void Sessions::limit(SessionLimits limits) {
    const std::lock_guard held(lock_);
    limits_ = limits;
}

Session Sessions::open(const std::string& name, PageRole role, std::int64_t account_version) {
    const std::int64_t now_ns = clock_.monotonic_ns();
    const Session session{random_hex(), random_hex(), name, role, account_version, now_ns, now_ns};
    const std::lock_guard held(lock_);
    make_room(name, now_ns);
    by_id_.emplace(session.id, Held{session, {}});
    return session;
}

std::optional<Session> Sessions::find(const std::string& id, bool use) {
    const std::int64_t now_ns = clock_.monotonic_ns();
    const std::lock_guard held(lock_);
    const auto found = by_id_.find(id);
    if (found == by_id_.end()) return std::nullopt;
    if (ended(found->second.session, now_ns)) {
        by_id_.erase(found);
        return std::nullopt;
    }
    if (use) found->second.session.used_ns = now_ns;
    return found->second.session;
}

void Sessions::close(const std::string& id) {
    const std::lock_guard held(lock_);
    by_id_.erase(id);
}

bool Sessions::first_play(const std::string& id, std::int64_t clip_id) {
    constexpr std::size_t kMost = 100'000; // of one session; from there on each play is told again
    const std::lock_guard held(lock_);
    const auto found = by_id_.find(id);
    if (found == by_id_.end()) return true;
    std::set<std::int64_t>& played = found->second.played;
    if (played.contains(clip_id)) return false;
    if (played.size() < kMost) played.insert(clip_id);
    return true;
}

std::size_t Sessions::count() const {
    const std::lock_guard held(lock_);
    return by_id_.size();
}

} // namespace quietpass
