#include "daemon/contacts/line/controller_clock.h"

#include <algorithm>

namespace quietpass {

namespace {

constexpr std::int64_t kMillisecond_ns = 1'000'000;
constexpr std::int64_t kSecond_ns = 1'000'000'000;

// How much sooner than the fit allows a line may come: the clocks drift, and theirs counts in milliseconds.
constexpr std::int64_t kMostEarly_ns = kSecond_ns / 2;

} // namespace

ControllerClock::ControllerClock(double most_late_s)
    : most_late_ns_(static_cast<std::int64_t>(most_late_s * 1e9)) {}

void ControllerClock::reset() {
    least_.clear();
}

std::optional<std::int64_t> ControllerClock::at(std::uint32_t stamp_ms, std::int64_t came_ns) {
    const bool first = least_.empty();
    // The step as a signed number takes a wrap for what it is, and a start anew for a step back.
    const auto step_ms = static_cast<std::int32_t>(stamp_ms - last_ms_);
    theirs_ns_ = first ? stamp_ms * kMillisecond_ns : theirs_ns_ + step_ms * kMillisecond_ns;
    last_ms_ = stamp_ms;
    const std::int64_t delay_ns = first ? 0 : came_ns - theirs_ns_ - offset_ns();
    if (delay_ns > most_late_ns_ || delay_ns < -kMostEarly_ns) {
        reset();
        theirs_ns_ = stamp_ms * kMillisecond_ns;
        add(came_ns - theirs_ns_, came_ns);
        return std::nullopt;
    }
    add(came_ns - theirs_ns_, came_ns);
    return theirs_ns_ + offset_ns();
}

void ControllerClock::add(std::int64_t offset_ns, std::int64_t came_ns) {
    if (least_.empty() || came_ns - least_.back().begun_ns >= kSecond_ns) {
        least_.push_back({came_ns, offset_ns});
    }
    least_.back().offset_ns = std::min(least_.back().offset_ns, offset_ns);
    while (came_ns - least_.front().begun_ns > static_cast<std::int64_t>(kWindow_s * 1e9)) {
        least_.pop_front();
    }
}

std::int64_t ControllerClock::offset_ns() const {
    return std::min_element(least_.begin(), least_.end(),
                            [](const Least& a, const Least& b) { return a.offset_ns < b.offset_ns; })
        ->offset_ns;
}

} // namespace quietpass
