#include "daemon/shifts/schedule.h"

#include <date/tz.h>

#include <algorithm>
#include <chrono>
#include <stdexcept>

#include "daemon/failure.h"
#include "daemon/shifts/time_zone.h"

namespace quietpass {
namespace {

using Moment = date::sys_time<std::chrono::nanoseconds>;

constexpr int kMinutesADay = 24 * 60;
constexpr int kMinutesAWeek = 7 * kMinutesADay;
// A shift lasts one day at most and a clock change moves it by hours, so a moment lies in a shift that began
// on its own local day or the one before; one more on each side for the clock changes.
constexpr int kDaysBack = 2;
// The next border is at most a week away; the second week covers zones that skipped a whole day.
constexpr int kDaysAhead = 15;

int length_min(const ShiftSettings& shift) {
    const int length = shift.end_minute - shift.start_minute;
    return length > 0 ? length : length + kMinutesADay;
}

bool starts_on(const ShiftSettings& shift, unsigned weekday) {
    return shift.weekdays.empty() ||
           std::find(shift.weekdays.begin(), shift.weekdays.end(), weekday) != shift.weekdays.end();
}

void check_values(const ShiftSettings& shift) {
    const bool minutes_ok = shift.start_minute >= 0 && shift.start_minute < kMinutesADay &&
                            shift.end_minute >= 0 && shift.end_minute < kMinutesADay;
    const bool days_ok =
        std::all_of(shift.weekdays.begin(), shift.weekdays.end(), [](unsigned day) { return day < 7; });
    if (!minutes_ok || !days_ok) {
        throw Failure(kExitUsage,
                      "[[shift]] \"" + shift.name +
                          "\": start and end must lie in 00:00 to 23:59, weekdays in Sunday to Saturday");
    }
}

// Local minutes of one week, in which the order of local times is the order of moments.
void check_overlaps(const std::vector<ShiftSettings>& shifts) {
    std::vector<const ShiftSettings*> taken(kMinutesAWeek, nullptr);
    for (const ShiftSettings& shift : shifts) {
        for (unsigned day = 0; day < 7; ++day) {
            if (!starts_on(shift, day)) continue;
            for (int minute = 0; minute < length_min(shift); ++minute) {
                const auto at = static_cast<std::size_t>(
                    (static_cast<int>(day) * kMinutesADay + shift.start_minute + minute) % kMinutesAWeek);
                if (taken[at] != nullptr) {
                    throw Failure(kExitUsage,
                                  "[[shift]] \"" + shift.name + "\" overlaps \"" + taken[at]->name +
                                      "\": a moment must lie in one shift; change a start or an end");
                }
                taken[at] = &shift;
            }
        }
    }
}

struct Span {
    const ShiftSettings* shift;
    Moment start;
    Moment end;
};

} // namespace

struct Schedule::Parts {
    const date::time_zone* zone;
    std::vector<ShiftSettings> shifts;

    Moment moment_of(date::local_days day, int minute) const {
        return zone->to_sys(day + std::chrono::minutes(minute), date::choose::earliest);
    }

    // The shifts that begin on the local days from `back` days before this moment to `ahead` days after it.
    std::vector<Span> spans_around(Moment moment, int back, int ahead) const {
        const auto today = date::floor<date::days>(zone->to_local(moment));
        std::vector<Span> spans;
        for (int offset = -back; offset <= ahead; ++offset) {
            const date::local_days day = today + date::days(offset);
            const unsigned weekday = date::weekday(day).c_encoding();
            for (const ShiftSettings& shift : shifts) {
                if (!starts_on(shift, weekday)) continue;
                const int start = shift.start_minute;
                const Span span{&shift, moment_of(day, start), moment_of(day, start + length_min(shift))};
                if (span.start < span.end) spans.push_back(span);
            }
        }
        return spans;
    }
};

Schedule::Schedule(const std::string& timezone, const std::vector<ShiftSettings>& shifts)
    : parts_(std::make_unique<Parts>(Parts{zone_named(timezone), shifts})) {
    for (const ShiftSettings& shift : shifts) check_values(shift);
    check_overlaps(shifts);
}

Schedule::~Schedule() = default;
Schedule::Schedule(Schedule&&) noexcept = default;
Schedule& Schedule::operator=(Schedule&&) noexcept = default;

std::optional<Shift> Schedule::shift_at(std::int64_t utc_ns) const {
    if (parts_->shifts.empty()) return Shift{"all", std::nullopt, std::nullopt};
    const Moment moment{std::chrono::nanoseconds(utc_ns)};
    for (const Span& span : parts_->spans_around(moment, kDaysBack, 1)) {
        if (span.start <= moment && moment < span.end) {
            return Shift{span.shift->name, span.start.time_since_epoch().count(),
                         span.end.time_since_epoch().count()};
        }
    }
    return std::nullopt;
}

std::optional<std::int64_t> Schedule::next_border(std::int64_t utc_ns) const {
    const Moment moment{std::chrono::nanoseconds(utc_ns)};
    std::optional<Moment> next;
    for (const Span& span : parts_->spans_around(moment, kDaysBack, kDaysAhead)) {
        for (const Moment border : {span.start, span.end}) {
            if (border > moment && (!next || border < *next)) next = border;
        }
    }
    if (!next) return std::nullopt;
    return next->time_since_epoch().count();
}

} // namespace quietpass
