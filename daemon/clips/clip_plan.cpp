#include "daemon/clips/clip_plan.h"

#include <algorithm>
#include <cmath>
#include <random>

#include "daemon/alarms/alarm_cause.h"

namespace quietpass {

namespace {

constexpr double kContinuousPiece_s = 60.0;
// How long a passage is remembered for an alarm that may be told of it: longer than any turn takes.
constexpr double kRemember_s = 300.0;

} // namespace

ClipPlan::ClipPlan(const ClipSettings& settings, ShiftOf shift_of)
    : settings_(settings), shift_of_(std::move(shift_of)) {}

void ClipPlan::add(ClipWish wish, bool after_stun, bool only_of_an_alarm) {
    wish.end_s = std::min(wish.end_s, wish.start_s + settings_.longest_s);
    wished_.push_back({wish, after_stun, only_of_an_alarm});
}

void ClipPlan::on_call(const StationCall& call) {
    calls_.push_back({call.heard.start_s, call.heard.end_s});
    if (!can_count(call.heard.kind)) return;
    const bool after_stun = call.phase == Phase::kAfterStun && call.passage_id;
    if (after_stun) {
        const auto told = after_stun_.find(*call.passage_id);
        if (told != after_stun_.end()) told->second.has_clip = true;
    }
    const bool wanted = settings_.calls == ClippedCalls::kHeard ||
                        (settings_.calls == ClippedCalls::kCounted && (call.counted || after_stun));
    if (!wanted && !(after_stun && settings_.alarms)) return;
    add({.why = ClipWhy::kCall,
         .start_s = call.heard.start_s - settings_.before_s,
         .end_s = call.heard.end_s + settings_.after_s,
         .shift_id = shift_of_(call.passage_entered_s.value_or(call.heard.start_s)),
         .passage_id = call.passage_id,
         .call_id = call.id,
         .alarm_id = {}},
        after_stun, !wanted);
}

void ClipPlan::on_after_stun_call(const StationCall& call) {
    if (!settings_.alarms || !call.passage_id) return;
    after_stun_.try_emplace(*call.passage_id,
                            AfterStun{call.heard.start_s, call.heard.end_s, std::nullopt, false});
}

void ClipPlan::on_second_stun(const SecondStun& stun) {
    if (settings_.alarms && stun.passage_id) second_stuns_.try_emplace(*stun.passage_id);
}

void ClipPlan::on_passage(const Passage& passage) {
    const std::int64_t shift_id = shift_of_(passage.entered_s);
    if (settings_.alarms) {
        passages_[passage.id] = {passage, shift_id};
        const auto second = second_stuns_.extract(passage.id);
        if (second && second.mapped() && passage.stuns >= 2) {
            wish_second_stun(passages_[passage.id], *second.mapped());
        }
    }
    wish_sample(passage, shift_id);
}

void ClipPlan::wish_sample(const Passage& passage, std::int64_t shift_id) {
    const bool quiet = passage.covered && passage.excluded.empty() && !passage.vocal;
    if (!quiet || !in_sample(shift_id, passage.id)) return;
    const double until_s = std::isnan(passage.stunned_s) ? passage.end_s : passage.stunned_s;
    add({.why = ClipWhy::kQuiet,
         .start_s = passage.entered_s - settings_.before_s,
         .end_s = until_s + settings_.after_s,
         .shift_id = shift_id,
         .passage_id = passage.id,
         .call_id = {},
         .alarm_id = {}});
}

bool ClipPlan::in_sample(std::int64_t shift_id, std::int64_t passage_id) const {
    if (settings_.quiet_percent <= 0.0) return false;
    const auto low = [](std::int64_t value) { return static_cast<std::uint32_t>(value); };
    const auto high = [](std::int64_t value) { return static_cast<std::uint32_t>(value >> 32); };
    std::seed_seq seed{low(settings_.quiet_seed), low(shift_id), high(shift_id), low(passage_id),
                       high(passage_id)};
    std::mt19937_64 random(seed);
    // By hand: what the library's distributions make of a generator is not fixed.
    return static_cast<double>(random() >> 11) * 0x1p-53 < settings_.quiet_percent / 100.0;
}

void ClipPlan::on_alarm(const AlarmEventRow& row) {
    const auto cause = alarm_cause_from(row.cause);
    const bool seen = row.event == "raised" || row.event == "again";
    if (!settings_.alarms || !seen || !cause || nature_of(*cause).end != AlarmEnd::kQuiet) return;
    // A person may be reminded of another run's passage: its number says nothing here.
    if (!row.passage_id) return;
    if (*cause == AlarmCause::kCallAfterStun || *cause == AlarmCause::kMayBeAfterStun) {
        const auto told = after_stun_.find(*row.passage_id);
        if (told != after_stun_.end()) told->second.alarm_id = row.alarm_id;
        return;
    }
    const auto found = passages_.find(*row.passage_id);
    const auto goes_on = second_stuns_.find(*row.passage_id);
    if (goes_on != second_stuns_.end()) {
        if (!goes_on->second) goes_on->second = row.alarm_id;
    } else if (found != passages_.end() && found->second.passage.stuns >= 2) {
        wish_second_stun(found->second, row.alarm_id);
    }
}

void ClipPlan::wish_second_stun(const Remembered& of, std::int64_t alarm_id) {
    const Passage& passage = of.passage;
    if (!told_.emplace(alarm_id, passage.id).second) return;
    const double from_s = std::isnan(passage.stunned_s) ? passage.entered_s : passage.stunned_s;
    add({.why = ClipWhy::kAlarm,
         .start_s = from_s - settings_.before_s,
         .end_s = passage.end_s + settings_.after_s,
         .shift_id = of.shift_id,
         .passage_id = passage.id,
         .call_id = {},
         .alarm_id = alarm_id});
}

// The sound that was told of may have become part of another call, or none: what was heard is kept all the
// same.
void ClipPlan::wish_calls_not_told_again() {
    for (auto& [passage_id, told] : after_stun_) {
        const auto passage = passages_.find(passage_id);
        if (told.has_clip || !told.alarm_id || passage == passages_.end()) continue;
        told.has_clip = true;
        add({.why = ClipWhy::kAlarm,
             .start_s = told.start_s - settings_.before_s,
             .end_s = told.end_s + settings_.after_s,
             .shift_id = passage->second.shift_id,
             .passage_id = passage_id,
             .call_id = {},
             .alarm_id = told.alarm_id});
    }
}

void ClipPlan::wish_continuous(double heard_until_s, const StationUtc& utc) {
    if (!settings_.continuous_until_utc_ns) return;
    const auto station_s = [&utc](std::int64_t utc_ns) {
        return static_cast<double>(utc_ns - utc.utc_ns_at_zero) / utc.ns_per_s;
    };
    const double until_s = station_s(*settings_.continuous_until_utc_ns);
    if (!continuous_until_s_) {
        continuous_next_s_ = std::max(continuous_next_s_, station_s(*settings_.continuous_from_utc_ns));
    }
    if (continuous_next_s_ >= until_s || heard_until_s < continuous_next_s_) return;
    continuous_until_s_ = until_s;
    const double piece_s = std::min(kContinuousPiece_s, settings_.longest_s);
    const auto piece = [this](double end_s) {
        add({.why = ClipWhy::kContinuous,
             .start_s = continuous_next_s_,
             .end_s = end_s,
             .shift_id = shift_of_(continuous_next_s_),
             .passage_id = {},
             .call_id = {},
             .alarm_id = {}});
        continuous_next_s_ = end_s;
    };
    while (continuous_next_s_ + piece_s <= std::min(heard_until_s, until_s))
        piece(continuous_next_s_ + piece_s);
    if (heard_until_s >= until_s && continuous_next_s_ < until_s) piece(until_s);
    // The clock may be set while it goes on: what was taken is not taken again.
    if (heard_until_s >= until_s) settings_.continuous_until_utc_ns.reset();
}

void ClipPlan::advance(double heard_until_s, const std::optional<StationUtc>& utc) {
    heard_until_s_ = heard_until_s;
    if (utc) wish_continuous(heard_until_s, *utc);
    wish_calls_not_told_again();
    const double forget_before_s = heard_until_s - kRemember_s;
    std::erase_if(calls_, [&](const CallSpan& call) { return call.end_s < forget_before_s; });
    std::erase_if(passages_, [&](const auto& entry) {
        const bool over = entry.second.passage.end_s < forget_before_s;
        if (over) {
            after_stun_.erase(entry.first);
            std::erase_if(told_, [&](const auto& told) { return told.second == entry.first; });
        }
        return over;
    });
}

void ClipPlan::finish(double heard_until_s) {
    heard_until_s_ = heard_until_s;
    finished_ = true;
    wish_calls_not_told_again();
    if (!continuous_until_s_ || continuous_next_s_ >= *continuous_until_s_) return;
    add({.why = ClipWhy::kContinuous,
         .start_s = continuous_next_s_,
         .end_s = std::min(heard_until_s, *continuous_until_s_),
         .shift_id = shift_of_(continuous_next_s_),
         .passage_id = {},
         .call_id = {},
         .alarm_id = {}});
    continuous_until_s_.reset();
}

bool ClipPlan::take(ClipWish& out) {
    for (auto wished = wished_.begin(); wished != wished_.end();) {
        if (!finished_ && wished->wish.end_s > heard_until_s_) {
            ++wished;
            continue;
        }
        out = wished->wish;
        const auto told = wished->after_stun ? after_stun_.find(*out.passage_id) : after_stun_.end();
        const bool alarm = told != after_stun_.end() && told->second.alarm_id;
        if (alarm) {
            out.why = ClipWhy::kAlarm;
            out.alarm_id = told->second.alarm_id;
        }
        const bool wanted = alarm || !wished->only_of_an_alarm;
        wished = wished_.erase(wished);
        for (const CallSpan& call : calls_) {
            if (call.end_s > out.start_s && call.start_s < out.end_s) out.calls.push_back(call);
        }
        if (wanted) return true;
    }
    return false;
}

} // namespace quietpass
