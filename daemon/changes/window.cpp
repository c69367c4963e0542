#include "daemon/changes/window.h"

#include <algorithm>
#include <charconv>

namespace quietpass {

namespace {

constexpr std::int64_t kSecond_ns = 1'000'000'000;

std::optional<std::int64_t> seconds_of(char unit) {
    if (unit == 'd') return 86400;
    if (unit == 'h') return 3600;
    if (unit == 'm') return 60;
    return std::nullopt;
}

bool inside(std::int64_t utc_ns, std::int64_t change_utc_ns, const Window& window) {
    if (window.from_utc_ns && utc_ns < *window.from_utc_ns) return false;
    if (window.to_utc_ns && utc_ns >= *window.to_utc_ns) return false;
    if (!window.length_ns) return true;
    return utc_ns >= change_utc_ns - *window.length_ns && utc_ns < change_utc_ns + *window.length_ns;
}

std::vector<PassageFacts> side(const std::vector<PassageFacts>& all, std::int64_t change_utc_ns,
                               const Window& window, bool after) {
    std::vector<PassageFacts> found;
    for (const PassageFacts& passage : all) {
        if (!passage.row.entered_utc_ns) continue;
        const std::int64_t utc_ns = *passage.row.entered_utc_ns;
        if ((utc_ns >= change_utc_ns) == after && inside(utc_ns, change_utc_ns, window)) {
            found.push_back(passage);
        }
    }
    std::stable_sort(found.begin(), found.end(), [](const PassageFacts& a, const PassageFacts& b) {
        return *a.row.entered_utc_ns < *b.row.entered_utc_ns;
    });
    return found;
}

// Behind the n-th scored one, or the end where there are fewer.
template <typename At>
At nth_scored(At at, At end, std::int64_t n) {
    while (at != end && n > 0)
        if ((at++)->scored()) --n;
    return at;
}

} // namespace

std::vector<PassageFacts> scored_of(std::vector<PassageFacts> passages) {
    passages.erase(std::remove_if(passages.begin(), passages.end(),
                                  [](const PassageFacts& one) { return !one.scored(); }),
                   passages.end());
    return passages;
}

std::optional<Window> window_from(const std::string& text, const LocalTime& time) {
    Window window;
    if (const std::size_t comma = text.find(','); comma != std::string::npos) {
        window.from_utc_ns = time.moment(text.substr(0, comma));
        window.to_utc_ns = time.moment(text.substr(comma + 1));
        if (!window.from_utc_ns || !window.to_utc_ns || *window.from_utc_ns >= *window.to_utc_ns) {
            return std::nullopt;
        }
        return window;
    }
    std::int64_t count = 0;
    constexpr std::int64_t kMost = 100'000'000; // passages; fewer minutes than that overflow nothing
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), count);
    if (error != std::errc() || count < 1 || count > kMost) return std::nullopt;
    const std::string unit(end, text.data() + text.size());
    if (unit.empty()) {
        window.passages = count;
        return window;
    }
    const std::optional<std::int64_t> unit_s = seconds_of(unit.front());
    constexpr std::int64_t kMost_s = 100LL * 366 * 86400;
    if (unit.size() != 1 || !unit_s || count > kMost_s / *unit_s) return std::nullopt;
    window.length_ns = count * *unit_s * kSecond_ns;
    return window;
}

std::vector<PassageFacts> entered_before(const std::vector<PassageFacts>& all, std::int64_t change_utc_ns,
                                         const Window& window) {
    std::vector<PassageFacts> found = side(all, change_utc_ns, window, false);
    if (window.passages)
        found.erase(found.begin(), nth_scored(found.rbegin(), found.rend(), *window.passages).base());
    return found;
}

std::vector<PassageFacts> entered_after(const std::vector<PassageFacts>& all, std::int64_t change_utc_ns,
                                        const Window& window) {
    std::vector<PassageFacts> found = side(all, change_utc_ns, window, true);
    if (window.passages) found.erase(nth_scored(found.begin(), found.end(), *window.passages), found.end());
    return found;
}

std::vector<PassageFacts> passages_before(const std::vector<PassageFacts>& all, std::int64_t change_utc_ns,
                                          const Window& window) {
    return scored_of(entered_before(all, change_utc_ns, window));
}

std::vector<PassageFacts> passages_after(const std::vector<PassageFacts>& all, std::int64_t change_utc_ns,
                                         const Window& window) {
    return scored_of(entered_after(all, change_utc_ns, window));
}

} // namespace quietpass
