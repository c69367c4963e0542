#include "daemon/gap_log.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

namespace {

// Sample clocks and edge times are rounded differently; stretches this close touch.
constexpr double kTouching_s = 1e-6;

} // namespace

void GapLog::add(const std::string& source, double start_s, double end_s, GapCause cause) {
    for (Kept& kept : gaps_) {
        Gap& gap = kept.gap;
        const bool touches = start_s <= gap.end_s + kTouching_s && end_s >= gap.start_s - kTouching_s;
        if (!kept.taken && touches && gap.cause == cause && gap.source == source) {
            gap.start_s = std::min(gap.start_s, start_s);
            gap.end_s = std::max(gap.end_s, end_s);
            return;
        }
    }
    gaps_.push_back({Gap{source, start_s, end_s, cause}, false});
}

std::optional<GapCause> GapLog::gap_in(double start_s, double end_s) const {
    const Gap* first = nullptr;
    for (const Kept& kept : gaps_) {
        const Gap& gap = kept.gap;
        // A contact that is first known at the end of an outage may have been so for all of it.
        const bool begins_there =
            gap.cause == GapCause::kContactsLost && std::abs(gap.end_s - start_s) <= kTouching_s;
        if (!begins_there && (gap.start_s >= end_s || gap.end_s <= start_s)) continue;
        if (first == nullptr || gap.start_s < first->start_s) first = &gap;
    }
    if (first == nullptr) return std::nullopt;
    return first->cause;
}

bool GapLog::take_ended(double settled_s, Gap& out) {
    Kept* next = nullptr;
    for (Kept& kept : gaps_) {
        if (kept.taken || kept.gap.end_s + kTouching_s >= settled_s) continue;
        if (next == nullptr || kept.gap.end_s < next->gap.end_s) next = &kept;
    }
    if (next == nullptr) return false;
    next->taken = true;
    out = next->gap;
    return true;
}

void GapLog::forget_before(double time_s) {
    std::erase_if(gaps_, [time_s](const Kept& kept) { return kept.taken && kept.gap.end_s < time_s; });
}

} // namespace quietpass
