#include "daemon/alarms/hold_watch.h"

namespace quietpass {

HoldWatch::HoldWatch(const StationSettings& settings) : box_(settings.restraint.kind == RestraintKind::kBox) {
    if (settings.has(Role::kBodyHeld)) holder_ = Role::kBodyHeld;
    if (settings.has(Role::kHeld)) holder_ = Role::kHeld;
}

void HoldWatch::take(const Edge& edge) {
    if (edge.role == holder_) {
        if (!edge.closed) {
            held_since_s_.reset();
        } else if (!held_since_s_) {
            held_since_s_ = edge.time_s;
        }
        return;
    }
    const bool ends = edge.role == Role::kStunned || edge.role == Role::kCut ||
                      edge.role == Role::kReleased || (box_ && edge.role == Role::kEntered);
    if (ends && edge.closed) held_since_s_.reset();
}

} // namespace quietpass
