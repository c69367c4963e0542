#include "daemon/station/after_stun_watch.h"

#include <algorithm>
#include <limits>

namespace quietpass {

namespace {

// A pause up to this is within one call: an animal draws breath for longer.
constexpr double kPause_s = 0.3;
// An ear has told what it knew at a moment when it has heard this much more: the filter before it lags.
constexpr double kEarLag_s = 0.1;

constexpr const char* kWords = "after the stun: a trained person checks the animal";
constexpr const char* kMayBeWords = "may be after the stun: a trained person checks the stunned animal";

} // namespace

AfterStunWatch::AfterStunWatch(const Cycle& cycle, OriginTracer& tracer,
                               const std::vector<StationMicrophone>& microphones)
    : cycle_(cycle), tracer_(tracer), microphones_(microphones) {}

void AfterStunWatch::add(const Ear::FirstWord& word, std::size_t microphone) {
    if (!can_count(word.heard.kind)) return;
    const Word added{word.heard, word.known_at_s, microphone};
    const auto earlier = [](const Word& a, const Word& b) {
        return a.known_at_s < b.known_at_s || (a.known_at_s == b.known_at_s && a.microphone < b.microphone);
    };
    waiting_.insert(std::upper_bound(waiting_.begin(), waiting_.end(), added, earlier), added);
}

void AfterStunWatch::settle(double heard_s, const Tell& tell, const Tell& tell_may_be) {
    // With one microphone there is nobody to wait for.
    const double lag_s = microphones_.size() > 1 ? kEarLag_s : -std::numeric_limits<double>::infinity();
    while (!waiting_.empty()) {
        const Word word = waiting_.front();
        if (word.known_at_s + lag_s > heard_s || word.heard.start_s >= cycle_.placeable_until_s()) return;
        waiting_.erase(waiting_.begin());
        look(word, tell, tell_may_be);
    }
}

bool AfterStunWatch::goes_on_from_before(const HeardCall& heard) const {
    return std::any_of(before_.begin(), before_.end(), [&](const Span& span) {
        return heard.start_s < span.end_s + kPause_s && span.start_s < heard.end_s;
    });
}

void AfterStunWatch::look(const Word& word, const Tell& tell, const Tell& tell_may_be) {
    const HeardCall& heard = word.heard;
    const MicrophoneSettings& microphone = microphones_[word.microphone].settings();
    const Cycle::Place where = cycle_.place(heard.start_s, microphone.zone);
    const bool goes_on = goes_on_from_before(heard);
    const bool after_stun = where.phase == Phase::kAfterStun;
    if (!after_stun || goes_on) before_.push_back({heard.start_s, heard.end_s});
    if (goes_on || (!after_stun && !where.or_stunned_id)) return;
    const auto traced = tracer_.trace(heard, word.microphone);
    const bool restraint = traced && traced->judgement.origin == Origin::kRestraint;
    if (traced && traced->judgement.origin == Origin::kWaiting) return;
    // Heard up the race only, and not surely the restrained animal's: the other microphones are waited for.
    if (tracer_.is_up_the_race(word.microphone) && !restraint) return;
    StationCall call;
    call.microphone = microphone.name;
    call.heard = heard;
    call.heard.level_db += microphones_[word.microphone].sensitivity_db();
    call.passage_id = after_stun ? where.passage_id : where.or_stunned_id;
    call.passage_entered_s = after_stun ? where.passage_entered_s : where.or_stunned_entered_s;
    call.phase = Phase::kAfterStun;
    call.reason = after_stun ? kWords : kMayBeWords;
    if (after_stun) {
        placed(call, tell);
    } else {
        tell_once(told_may_be_, call, tell_may_be);
    }
}

void AfterStunWatch::placed(const StationCall& call, const Tell& tell) {
    tell_once(told_, call, tell);
}

void AfterStunWatch::tell_once(std::vector<Span>& told, const StationCall& call, const Tell& tell) {
    const auto same = std::find_if(told.begin(), told.end(), [&](const Span& span) {
        return call.heard.start_s < span.end_s && span.start_s < call.heard.end_s;
    });
    if (same != told.end()) {
        same->end_s = std::max(same->end_s, call.heard.end_s);
        return;
    }
    told.push_back({call.heard.start_s, call.heard.end_s});
    tell(call);
}

void AfterStunWatch::forget_before(double time_s) {
    const auto old = [&](const Span& span) { return span.end_s < time_s; };
    std::erase_if(before_, old);
    std::erase_if(told_, old);
    std::erase_if(told_may_be_, old);
}

} // namespace quietpass
