#include "daemon/alarms/station_alarms.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "daemon/alarms/alarm_words.h"
#include "daemon/health/minute_trouble.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

std::string when(const std::optional<StationUtc>& utc, double time_s) {
    const auto utc_ns = utc ? utc->at(time_s) : std::nullopt;
    return utc_ns ? utc_text(*utc_ns) : fmt::format("station second {:.2f}", time_s);
}

} // namespace

StationAlarms::StationAlarms(const StationSettings& settings, const Schedule& schedule, AlarmBook& book)
    : settings_(settings), schedule_(schedule), book_(book), rates_(settings), hold_(settings) {
    for (const MicrophoneSettings& microphone : settings.microphones)
        lost_.emplace(microphone.name, LostSound(settings.alarms.microphone_lost_s));
    if (!settings.breaks.empty()) breaks_.emplace(settings.timezone, settings.breaks);
}

void StationAlarms::on_call(const StationCall& /*call*/) {
    call_heard_ = true;
}

void StationAlarms::on_after_stun_call(const StationCall& call) {
    after_stun_.push_back(call);
}

void StationAlarms::on_may_be_after_stun_call(const StationCall& call) {
    may_be_after_stun_.push_back(call);
}

void StationAlarms::on_second_stun(const SecondStun& stun) {
    second_stuns_.push_back(stun);
}

void StationAlarms::on_passage(const Passage& passage) {
    passages_.push_back(passage);
}

void StationAlarms::on_gap(const Gap& gap) {
    const bool sound_lost = gap.cause == GapCause::kOverrun || gap.cause == GapCause::kUnplugged;
    const auto microphone = lost_.find(gap.source);
    if (sound_lost && microphone != lost_.end()) microphone->second.add(gap.start_s, gap.end_s);
}

void StationAlarms::on_health(const MicrophoneMinute& minute) {
    minutes_.push_back(minute);
}

void StationAlarms::on_edge(const Edge& edge) {
    hold_.take(edge);
    if (edge.role == Role::kStopped) stopped_ = edge.closed;
    const bool of_an_animal =
        edge.role == Role::kEntered || edge.role == Role::kStunned || edge.role == Role::kCut;
    if (of_an_animal && edge.closed) animal_seen_ = true;
}

void StationAlarms::sound_is_lost(const std::string& microphone, double lost_s) {
    losing_s_[microphone] = lost_s;
}

void StationAlarms::contacts_are_lost(const std::string& source, double lost_s) {
    if (lost_s > 0.0) hold_.forget();
    contacts_lost_s_[source] = lost_s;
}

void StationAlarms::turn(const Moment& now) {
    if (std::exchange(call_heard_, false)) rates_.heard_call();
    for (const StationCall& call : std::exchange(after_stun_, {}))
        tell_after_stun(AlarmCause::kCallAfterStun, call, now);
    for (const StationCall& call : std::exchange(may_be_after_stun_, {}))
        tell_after_stun(AlarmCause::kMayBeAfterStun, call, now);
    for (const SecondStun& stun : std::exchange(second_stuns_, {})) tell_second_stun(stun, now);
    tell_hold(now);
    // What an earlier run left open is looked at before the first passage.
    if (std::exchange(first_turn_, false)) tell_rates(now);
    for (const Passage& passage : std::exchange(passages_, {})) tell_passage(passage, now);
    tell_microphones(now);
    tell_contacts(now);
    tell_line(now);
}

void StationAlarms::say(bool there, AlarmCause cause, const std::string& source, const AlarmDetail& detail,
                        const Moment& now) {
    if (there) {
        book_.is_there(cause, source, detail, now.utc_ns);
    } else {
        book_.is_gone(cause, source, now.utc_ns);
    }
}

// As soon as the Station knows, which is before the call has a number.
void StationAlarms::tell_after_stun(AlarmCause cause, const StationCall& call, const Moment& now) {
    if (!call.passage_id) return;
    // Where the cut comes without stunning, an animal may well call after it: reported, not alarmed.
    if (!settings_.has(Role::kStunned)) return;
    AlarmDetail detail;
    detail.passage_id = call.passage_id;
    detail.what =
        fmt::format("Microphone {} heard a {} of {:.1f} s after the stun of passage {}, at {}.{}",
                    call.microphone, name_of(call.heard.kind), call.heard.end_s - call.heard.start_s,
                    *call.passage_id, when(now.utc, call.heard.start_s),
                    cause == AlarmCause::kMayBeAfterStun ? " Another animal waited for its stun." : "");
    detail.facts = {{"microphone", call.microphone},
                    {"kind", std::string(name_of(call.heard.kind))},
                    {"score", fmt::format("{:.3f}", call.heard.score)},
                    {"level_db", fmt::format("{:.1f}", call.heard.level_db)},
                    {"call_start", when(now.utc, call.heard.start_s)},
                    {"call_end", when(now.utc, call.heard.end_s)}};
    book_.happened(cause, "", detail, now.utc_ns);
}

void StationAlarms::tell_second_stun(const SecondStun& stun, const Moment& now) {
    if (!settings_.has(Role::kStunned)) return;
    const std::string whose =
        stun.passage_id ? fmt::format("The animal of passage {}", *stun.passage_id) : "An animal";
    AlarmDetail detail;
    detail.passage_id = stun.passage_id;
    detail.what = fmt::format("{} was stunned again at {}, {:.1f} s after its first stun.", whose,
                              when(now.utc, stun.again_s), stun.again_s - stun.first_s);
    detail.facts = {{"stuns", std::to_string(stun.stuns)},
                    {"first_stun", when(now.utc, stun.first_s)},
                    {"again", when(now.utc, stun.again_s)}};
    book_.happened(AlarmCause::kSecondStun, "", detail, now.utc_ns);
}

void StationAlarms::tell_hold(const Moment& now) {
    const auto since_s = hold_.held_since_s();
    const double held_s = since_s ? now.heard_until_s - *since_s : 0.0;
    AlarmDetail detail;
    if (held_s > settings_.alarms.hold_limit_s) {
        detail.what = fmt::format("An animal is held since {}, {:.0f} s and more; the limit here is {:g} s.",
                                  when(now.utc, *since_s), settings_.alarms.hold_limit_s,
                                  settings_.alarms.hold_limit_s);
        detail.facts = {{"held_since", when(now.utc, *since_s)},
                        {"limit_s", fmt::format("{:g}", settings_.alarms.hold_limit_s)}};
    }
    say(held_s > settings_.alarms.hold_limit_s, AlarmCause::kHoldTooLong, "", detail, now);
}

void StationAlarms::tell_passage(const Passage& passage, const Moment& now) {
    if (rates_.add(passage)) {
        const CusumDesign& design = *rates_.design();
        AlarmDetail detail;
        detail.passage_id = passage.id;
        detail.what = fmt::format(
            "The sum of vocal against silent passages reached its limit: {} of the last {} were vocal. By "
            "chance this comes about once in {:.0f} passages.",
            rates_.vocal().hits(), rates_.vocal().seen(), design.passages_between_false_alarms);
        detail.facts = {{"vocal", std::to_string(rates_.vocal().hits())},
                        {"of", std::to_string(rates_.vocal().seen())}};
        book_.happened(AlarmCause::kRateUp, "", detail, now.utc_ns);
    }
    tell_rates(now);
}

void StationAlarms::tell_rates(const Moment& now) {
    if (rates_.rate_is_over()) book_.is_gone(AlarmCause::kRateUp, "", now.utc_ns);
    AlarmDetail vocal;
    vocal.what = fmt::format("{} of the last {} scored passages were vocal; {} of {} raise this alarm.",
                             rates_.vocal().hits(), rates_.vocal().seen(), settings_.alarms.vocal_k,
                             settings_.alarms.vocal_of);
    say(rates_.many_vocal(), AlarmCause::kManyVocal, "", vocal, now);
    AlarmDetail stuns;
    stuns.what = fmt::format(
        "{} of the last {} stunned animals were stunned a second time; the least share stunned once is set "
        "to {:g} % of {}.",
        rates_.stunned_twice().hits(), rates_.stunned_twice().seen(), settings_.alarms.stunned_once_percent,
        settings_.alarms.stunned_once_of);
    say(rates_.stunned_once_low(), AlarmCause::kStunnedOnceLow, "", stuns, now);
    AlarmDetail silent;
    silent.what = fmt::format("Not one call of any kind in {} scored passages.", rates_.silent_passages());
    say(rates_.nothing_heard(), AlarmCause::kNothingHeard, "", silent, now);
}

void StationAlarms::tell_microphones(const Moment& now) {
    for (auto& [microphone, lost] : lost_) {
        const double losing_s = losing_s_[microphone];
        const bool long_lost = losing_s > settings_.alarms.microphone_lost_s;
        const bool there = long_lost || lost.too_much(now.heard_until_s);
        AlarmDetail detail;
        if (there) {
            detail.what = long_lost ? fmt::format("Microphone {} is not heard any more.", microphone)
                                    : fmt::format("Microphone {} loses sound again and again.", microphone);
        }
        say(there, AlarmCause::kMicrophoneLost, microphone, detail, now);
    }
    for (const MicrophoneMinute& minute : std::exchange(minutes_, {})) {
        if (minute.worked_s <= 0.0) continue;
        const std::string trouble = trouble_in(minute);
        AlarmDetail detail;
        detail.what = fmt::format("Microphone {} is {}.", minute.microphone, trouble);
        say(!trouble.empty(), AlarmCause::kMicrophoneFault, minute.microphone, detail, now);
    }
}

void StationAlarms::tell_contacts(const Moment& now) {
    for (const auto& [source, lost_s] : contacts_lost_s_) {
        const bool there = lost_s > settings_.alarms.contacts_lost_s;
        // Answering for a moment within the limit is no end either: the book waits before it clears.
        if (!there && lost_s > 0.0) continue;
        AlarmDetail detail;
        detail.what = fmt::format("The contacts at {} do not answer.", source);
        say(there, AlarmCause::kContactsLost, source, detail, now);
    }
}

// Where no shifts are set, nobody knows when the line should run.
void StationAlarms::tell_line(const Moment& now) {
    const auto shift = settings_.shifts.empty() ? std::nullopt : schedule_.shift_at(now.utc_ns);
    const bool in_break = breaks_ && breaks_->shift_at(now.utc_ns);
    const bool should_run = shift && !in_break && !stopped_;
    if (!should_run || std::exchange(animal_seen_, false)) idle_since_ns_.reset();
    if (should_run && !idle_since_ns_) idle_since_ns_ = now.utc_ns;
    const std::int64_t idle_ns = idle_since_ns_ ? now.utc_ns - *idle_since_ns_ : 0;
    const bool too_long = static_cast<double>(idle_ns) > settings_.alarms.no_passage_s * 1e9;
    AlarmDetail detail;
    if (too_long) {
        detail.what =
            fmt::format("No animal since {}, within shift {}.", utc_text(*idle_since_ns_), shift->name);
    }
    say(too_long, AlarmCause::kNoPassage, "", detail, now);
}

} // namespace quietpass
