#include "daemon/shifts/breaks.h"

#include <algorithm>

#include "daemon/shifts/schedule.h"

namespace quietpass {

std::vector<std::pair<std::int64_t, std::int64_t>> breaks_between(const StationSettings& settings,
                                                                  std::int64_t from_utc_ns,
                                                                  std::int64_t to_utc_ns) {
    std::vector<std::pair<std::int64_t, std::int64_t>> found;
    if (settings.breaks.empty()) return found;
    const Schedule plan(settings.timezone, settings.breaks);
    for (std::int64_t at_ns = from_utc_ns; at_ns < to_utc_ns;) {
        const auto pause = plan.shift_at(at_ns);
        const std::int64_t next_ns = std::min(plan.next_border(at_ns).value_or(to_utc_ns), to_utc_ns);
        if (pause) found.emplace_back(at_ns, next_ns);
        at_ns = next_ns;
    }
    return found;
}

} // namespace quietpass
