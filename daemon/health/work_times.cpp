#include "daemon/health/work_times.h"

namespace quietpass {

void WorkTimes::take(const Edge& edge) {
    edges_.push_back(edge);
}

bool WorkTimes::at(double time_s) const {
    bool worked = false;
    for (auto edge = edges_.rbegin(); edge != edges_.rend(); ++edge) {
        if (edge->time_s > time_s) continue;
        if (edge->role == Role::kStopped)
            return !edge->closed && (worked || edge->time_s > time_s - after_s_);
        worked = worked || edge->time_s > time_s - after_s_;
    }
    return worked && !stood_before_;
}

void WorkTimes::forget_before(double time_s) {
    while (!edges_.empty() && edges_.front().time_s < time_s - after_s_) {
        if (edges_.front().role == Role::kStopped) stood_before_ = edges_.front().closed;
        edges_.pop_front();
    }
}

} // namespace quietpass
