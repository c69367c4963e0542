#include "daemon/hearing/call_merger.h"

#include <algorithm>
#include <limits>
#include <utility>

namespace quietpass {

namespace {

// Hearings that overlap in a chain are one call only this far: what comes later is told apart, so that
// nothing waits for ever.
constexpr double kLongestChain_s = 12.0;

bool earlier(const MicrophoneCall& a, const MicrophoneCall& b) {
    return a.heard.start_s < b.heard.start_s ||
           (a.heard.start_s == b.heard.start_s && a.microphone < b.microphone);
}

bool share_half(const MicrophoneCall& a, const MicrophoneCall& b) {
    if (a.microphone == b.microphone) return false;
    const double shared_s =
        std::min(a.heard.end_s, b.heard.end_s) - std::max(a.heard.start_s, b.heard.start_s);
    return shared_s >= 0.5 * std::min(a.heard.end_s - a.heard.start_s, b.heard.end_s - b.heard.start_s);
}

bool comes_from(const MicrophoneCall& call, Origin origin) {
    return call.origin && call.origin->judgement.origin == origin;
}

bool is_up_the_race(const MicrophoneCall& call) {
    return call.origin && call.origin->far == call.microphone;
}

// By how far it stood over the background where that is known of both; else by level.
// Where one says that it counts and the other that it doesn't, and it is no waiting animal's, the microphone
// at the restraint is believed: a clang up the race is clearer there than a squeal at the restraint.
bool clearer(const MicrophoneCall& a, const MicrophoneCall& b) {
    if (can_count(a.heard.kind) != can_count(b.heard.kind) && is_up_the_race(a) != is_up_the_race(b) &&
        !comes_from(a, Origin::kWaiting) && !comes_from(b, Origin::kWaiting)) {
        return is_up_the_race(b);
    }
    if (a.origin && b.origin && a.origin->clear_db && b.origin->clear_db) {
        return *a.origin->clear_db > *b.origin->clear_db;
    }
    return a.heard.level_db > b.heard.level_db;
}

} // namespace

CallMerger::CallMerger(std::size_t microphones, Trace trace)
    : microphones_(microphones),
      trace_(std::move(trace)),
      settled_s_(-std::numeric_limits<double>::infinity()) {}

void CallMerger::add(HeardCall heard, std::size_t microphone) {
    MicrophoneCall call{std::move(heard), microphone, std::nullopt, {}};
    pending_.insert(std::upper_bound(pending_.begin(), pending_.end(), call, earlier), std::move(call));
}

// The first pending call and all that are the same call with it.
std::vector<MicrophoneCall> CallMerger::group_at_front(double& end_s) const {
    std::vector<MicrophoneCall> group = {pending_.front()};
    end_s = group.front().heard.end_s;
    for (auto call = pending_.begin() + 1; call != pending_.end(); ++call) {
        if (call->heard.start_s > std::min(end_s, group.front().heard.start_s + kLongestChain_s)) break;
        if (std::none_of(group.begin(), group.end(),
                         [&](const auto& other) { return share_half(*call, other); }))
            continue;
        group.push_back(*call);
        end_s = std::max(end_s, call->heard.end_s);
    }
    return group;
}

void CallMerger::settle(double settled_s) {
    settled_s_ = settled_s;
    while (!pending_.empty()) {
        double end_s = 0.0;
        std::vector<MicrophoneCall> group = group_at_front(end_s);
        // With one microphone there is nothing to wait for.
        if ((microphones_ > 1 ? end_s : group.front().heard.start_s) >= settled_s) return;
        const auto grouped = [&](const MicrophoneCall& call) {
            return std::any_of(group.begin(), group.end(), [&](const auto& member) {
                return call.microphone == member.microphone && call.heard.start_s == member.heard.start_s;
            });
        };
        pending_.erase(std::remove_if(pending_.begin(), pending_.end(), grouped), pending_.end());
        merge(std::move(group));
    }
}

void CallMerger::merge(std::vector<MicrophoneCall> group) {
    for (MicrophoneCall& call : group) call.origin = trace_(call.heard, call.microphone);
    const auto any = [&](Origin origin) {
        return std::any_of(group.begin(), group.end(),
                           [&](const auto& call) { return comes_from(call, origin); });
    };
    if (any(Origin::kRestraint) && any(Origin::kWaiting)) {
        const auto waiting = std::stable_partition(
            group.begin(), group.end(), [](const auto& call) { return !comes_from(call, Origin::kWaiting); });
        put_ready({std::make_move_iterator(waiting), std::make_move_iterator(group.end())});
        group.erase(waiting, group.end());
    }
    put_ready(std::move(group));
}

void CallMerger::put_ready(std::vector<MicrophoneCall> hearings) {
    auto clearest = hearings.begin();
    for (auto other = hearings.begin() + 1; other != hearings.end(); ++other) {
        if (clearer(*other, *clearest)) clearest = other;
    }
    std::vector<std::size_t> heard_at;
    for (const MicrophoneCall& hearing : hearings) heard_at.push_back(hearing.microphone);
    MicrophoneCall call = std::move(*clearest);
    call.heard_at = std::move(heard_at);
    ready_.insert(std::upper_bound(ready_.begin(), ready_.end(), call, earlier), std::move(call));
}

bool CallMerger::take(double before_s, MicrophoneCall& out) {
    if (ready_.empty()) return false;
    const double start_s = ready_.front().heard.start_s;
    const double none_before_s =
        pending_.empty() ? settled_s_ : std::min(settled_s_, pending_.front().heard.start_s);
    if (start_s >= before_s || start_s >= none_before_s) return false;
    out = std::move(ready_.front());
    ready_.erase(ready_.begin());
    return true;
}

double CallMerger::earliest_s() const {
    double earliest_s = std::numeric_limits<double>::infinity();
    if (!pending_.empty()) earliest_s = pending_.front().heard.start_s;
    if (!ready_.empty()) earliest_s = std::min(earliest_s, ready_.front().heard.start_s);
    return earliest_s;
}

} // namespace quietpass
