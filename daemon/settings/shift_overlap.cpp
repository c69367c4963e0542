#include "daemon/settings/shift_overlap.h"

namespace quietpass {

namespace {

constexpr int kDay = 24 * 60;
constexpr int kWeek = 7 * kDay;

struct Stretch {
    std::size_t shift;
    int start; // minute of the week, Sunday 00:00 is 0
    int length;
};

std::vector<Stretch> stretches_of(const std::vector<ShiftSettings>& shifts) {
    std::vector<Stretch> stretches;
    for (std::size_t i = 0; i < shifts.size(); ++i) {
        const int ahead = shifts[i].end_minute - shifts[i].start_minute;
        const int length = ahead > 0 ? ahead : ahead + kDay;
        for (unsigned day = 0; day < 7; ++day) {
            bool worked = shifts[i].weekdays.empty();
            for (const unsigned weekday : shifts[i].weekdays) worked = worked || weekday == day;
            if (worked)
                stretches.push_back({i, static_cast<int>(day) * kDay + shifts[i].start_minute, length});
        }
    }
    return stretches;
}

// Whether b begins within a, going round the week.
bool begins_within(const Stretch& a, const Stretch& b) {
    return (b.start - a.start + kWeek) % kWeek < a.length;
}

} // namespace

std::optional<std::pair<std::size_t, std::size_t>> overlapping_shifts(
    const std::vector<ShiftSettings>& shifts) {
    const std::vector<Stretch> stretches = stretches_of(shifts);
    std::optional<std::pair<std::size_t, std::size_t>> first;
    for (const Stretch& a : stretches) {
        for (const Stretch& b : stretches) {
            if (a.shift >= b.shift || !(begins_within(a, b) || begins_within(b, a))) continue;
            const std::pair pair(a.shift, b.shift);
            if (!first || pair < *first) first = pair;
        }
    }
    return first;
}

} // namespace quietpass
