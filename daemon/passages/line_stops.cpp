#include "daemon/passages/line_stops.h"

#include <algorithm>

namespace quietpass {

bool LineStops::take(double time_s, bool stopped) {
    if (stopped == stopped_now()) return false;
    if (stopped) {
        stops_.push_back({time_s, kOpen});
    } else {
        stops_.back().running_again_s = time_s;
        if (stops_.back().start_s == time_s) stops_.pop_back();
    }
    return true;
}

bool LineStops::stopped_at(double time_s) const {
    return std::any_of(stops_.begin(), stops_.end(),
                       [&](const Stop& s) { return s.start_s <= time_s && time_s < s.running_again_s; });
}

bool LineStops::began_within(double start_s, double end_s) const {
    return std::any_of(stops_.begin(), stops_.end(),
                       [&](const Stop& s) { return start_s < s.start_s && s.start_s < end_s; });
}

double LineStops::stood_s(double time_s) const {
    double stood_s = forgotten_s_;
    for (const Stop& stop : stops_) {
        if (stop.start_s < time_s) stood_s += std::min(stop.running_again_s, time_s) - stop.start_s;
    }
    return stood_s;
}

bool LineStops::take_stop(double& start_s, double& end_s) {
    for (Stop& stop : stops_) {
        if (stop.taken || stop.running_again_s == kOpen) continue;
        stop.taken = true;
        start_s = stop.start_s;
        end_s = stop.running_again_s;
        return true;
    }
    return false;
}

void LineStops::forget_before(double time_s) {
    while (!stops_.empty() && stops_.front().taken && stops_.front().running_again_s <= time_s) {
        forgotten_s_ += stops_.front().running_again_s - stops_.front().start_s;
        stops_.pop_front();
    }
}

} // namespace quietpass
