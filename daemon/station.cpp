#include "daemon/station.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <limits>
#include <stdexcept>
#include <vector>

#include "daemon/gap_log.h"
#include "daemon/health/work_times.h"
#include "daemon/passages/cycle.h"
#include "daemon/station/after_stun_watch.h"
#include "daemon/station/call_desk.h"
#include "daemon/station/microphone.h"
#include "daemon/station/noise_desk.h"
#include "daemon/station/origin_tracer.h"

namespace quietpass {

namespace {

constexpr double kForEver = std::numeric_limits<double>::infinity();

// How long edges, calls and gaps are remembered behind what is settled: longer than any passage, which a
// stopped line may lengthen twofold.
constexpr double kMemoryBeyondLongest_s = 120.0;

std::vector<Role> roles_of(const StationSettings& settings) {
    std::vector<Role> roles;
    for (const ContactSettings& contact : settings.contacts) roles.push_back(contact.role);
    return roles;
}

std::vector<StationMicrophone> microphones_of(const StationSettings& settings, const Profile* profile,
                                              std::span<const double> sample_rates_hz) {
    if (sample_rates_hz.size() != settings.microphones.size() || sample_rates_hz.empty()) {
        throw std::invalid_argument("Station: one sample rate a microphone, and at least one");
    }
    std::vector<StationMicrophone> microphones;
    for (std::size_t i = 0; i < sample_rates_hz.size(); ++i) {
        microphones.emplace_back(settings.microphones[i], sample_rates_hz[i], profile, settings.health);
    }
    return microphones;
}

} // namespace

struct Station::Parts {
    Parts(const StationSettings& station, const Profile* profile, std::span<const double> sample_rates_hz,
          StationEvents& receiver)
        : settings(station),
          events(receiver),
          cycle(station.restraint, roles_of(station)),
          work(station.health.work_s),
          microphones(microphones_of(station, profile, sample_rates_hz)),
          tracer(station, profile ? &profile->segments : nullptr, microphones, kKept_s),
          noises(station, cycle, tracer, microphones),
          calls(station, cycle, tracer, noises, microphones),
          after_stun(cycle, tracer, microphones),
          alarms_after_stun(station.has(Role::kStunned)) {}

    void collect(std::size_t index);
    void advance();
    void judge_health();
    void settle_calls();
    void emit_passages();
    void emit_passage(Passage& passage);
    void emit_gaps();
    void emit_strays_and_stops();
    void emit_phase(const Edge& edge);
    void emit_second_stuns();
    void forget();

    // The least over the microphones.
    double least(double (StationMicrophone::*of)() const) const {
        double least_s = kForEver;
        for (const StationMicrophone& microphone : microphones)
            least_s = std::min(least_s, (microphone.*of)());
        return least_s;
    }
    double settled_until_s() const {
        return finished ? kForEver : least(&StationMicrophone::settled_until_s);
    }
    double contacts_known_until_s() const { return finished ? kForEver : contacts_known_s; }
    double heard_until_s() const;

    StationSettings settings;
    StationEvents& events;
    Cycle cycle;
    WorkTimes work;
    std::vector<StationMicrophone> microphones;
    GapLog gaps;
    double contacts_known_s = 0.0;
    double forgotten_s = 0.0;
    bool finished = false;

    OriginTracer tracer;
    NoiseDesk noises;
    CallDesk calls;
    AfterStunWatch after_stun;
    bool alarms_after_stun;
    std::deque<Passage> closed; // by entry; waiting for their calls
    PhaseNow phase_now;
};

void Station::Parts::collect(std::size_t index) {
    StationMicrophone& microphone = microphones[index];
    HeardNoise noise;
    while (microphone.take(noise)) noises.add(noise, index);
    HeardCall heard;
    while (microphone.take(heard)) calls.add(std::move(heard), index);
    Ear::FirstWord word;
    while (microphone.take_first_word(word)) {
        if (alarms_after_stun) after_stun.add(word, index);
    }
}

void Station::Parts::advance() {
    judge_health();
    settle_calls();
    Passage passage;
    while (cycle.take_closed(passage)) closed.push_back(passage);
    emit_passages();
    emit_gaps();
    emit_strays_and_stops();
    forget();
}

// Whether the line worked is known once the contacts are.
void Station::Parts::judge_health() {
    for (StationMicrophone& microphone : microphones) {
        microphone.judge_health(
            contacts_known_until_s(), [&](double time_s) { return work.at(time_s); }, gaps);
        MicrophoneMinute minute;
        while (microphone.take(minute)) events.on_health(minute);
    }
}

// Calls wait for the ears only: health may be suspicious for a minute or two, an alarm can't wait for that.
void Station::Parts::settle_calls() {
    const auto tell_after_stun = [&](const StationCall& call) { events.on_after_stun_call(call); };
    const auto tell_may_be = [&](const StationCall& call) { events.on_may_be_after_stun_call(call); };
    after_stun.settle(finished ? kForEver : least(&StationMicrophone::heard_until_s), tell_after_stun,
                      tell_may_be);

    const double settled_s = finished ? kForEver : least(&StationMicrophone::calls_settled_until_s);
    const double noises_s = finished ? kForEver : least(&StationMicrophone::noises_settled_until_s);
    calls.settle(settled_s, std::min(cycle.placeable_until_s(), noises_s), [&](const StationCall& call) {
        if (alarms_after_stun && call.phase == Phase::kAfterStun && can_count(call.heard.kind)) {
            after_stun.placed(call, tell_after_stun);
        }
        events.on_call(call);
    });
    noises.settle(noises_s, contacts_known_until_s(),
                  [&](const StationNoise& noise) { events.on_noise(noise); });
    if (std::isfinite(settled_s)) tracer.forget_before(std::min(settled_s, calls.earliest_s()));
}

void Station::Parts::emit_passages() {
    const double settled_s = settled_until_s();
    while (!closed.empty()) {
        const double end_s = closed.front().end_s;
        const bool decided = end_s < settled_s && end_s < contacts_known_s &&
                             end_s <= cycle.placeable_until_s() && calls.earliest_s() > end_s &&
                             noises.earliest_s() > end_s;
        if (!finished && !decided) return;
        emit_passage(closed.front());
        closed.pop_front();
    }
}

void Station::Parts::emit_passage(Passage& passage) {
    calls.count_into(passage);
    const int bangs = noises.take_bangs(passage.id);
    if (!std::isnan(passage.held_s) || !std::isnan(passage.body_held_s)) passage.bangs = bangs;

    // Only what can count must have been heard; a gap after that is told, for a call after the stun matters
    // too.
    const bool stunned = !std::isnan(passage.stunned_s);
    const double counts_until_s =
        stunned ? std::min(passage.end_s, passage.stunned_s + settings.restraint.at_stun_s) : passage.end_s;
    // Why a contact's change was not seen, where that is at hand: nobody listened yet, or contacts were lost.
    const bool entry_missed = passage.excluded == "entry_not_seen";
    const bool missed = entry_missed || passage.excluded == "stun_not_seen" ||
                        passage.excluded == "release_not_seen" || passage.excluded == "too_long";
    const double in_since_s = passage.entered_s - (entry_missed ? settings.restraint.entry_before_s : 0.0);
    if (const auto cause = gaps.gap_in(in_since_s, counts_until_s)) {
        passage.covered = false;
        if (passage.excluded.empty() || missed) passage.excluded = name_of(*cause);
    } else if (in_since_s <= 0.0) {
        // Nobody listened to all of it. An entry at 0 is a contact that was closed when listening began, who
        // knows since when.
        passage.covered = false;
        if (passage.excluded.empty() || missed) passage.excluded = "not_covered";
    } else if (gaps.gap_in(counts_until_s, passage.end_s)) {
        passage.flags.emplace_back("after_stun_not_heard");
    }
    events.on_passage(passage);
}

void Station::Parts::emit_gaps() {
    const double settled_s = std::min(settled_until_s(), finished ? heard_until_s() + 1.0 : contacts_known_s);
    Gap gap;
    while (gaps.take_ended(settled_s, gap)) events.on_gap(gap);
}

void Station::Parts::emit_strays_and_stops() {
    Edge edge;
    const char* why = "";
    while (cycle.take_stray(edge, why)) events.on_stray_edge(edge, why);
    double start_s = 0.0;
    double end_s = 0.0;
    while (cycle.take_stop(start_s, end_s)) events.on_stop(start_s, end_s);
}

void Station::Parts::emit_phase(const Edge& edge) {
    const Cycle::Place where = cycle.place(edge.time_s, MicrophoneZone::kAll);
    if (where.passage_id == phase_now.passage_id && where.phase == phase_now.phase) return;
    phase_now = {edge.time_s, where.passage_id, where.phase};
    events.on_phase(phase_now);
}

void Station::Parts::emit_second_stuns() {
    SecondStun stun;
    while (cycle.take_second_stun(stun)) events.on_second_stun(stun);
}

void Station::Parts::forget() {
    const double settled_s = std::min(settled_until_s(), contacts_known_s);
    const double memory_s = 2.0 * settings.restraint.longest_s + settings.restraint.after_stun_s +
                            settings.restraint.entry_before_s + kMemoryBeyondLongest_s;
    if (!std::isfinite(settled_s) || settled_s - memory_s <= forgotten_s + 60.0) return;
    forgotten_s = settled_s - memory_s;
    cycle.forget_before(forgotten_s);
    gaps.forget_before(forgotten_s);
    work.forget_before(forgotten_s);
    noises.forget_before(forgotten_s);
    after_stun.forget_before(forgotten_s);
}

double Station::Parts::heard_until_s() const {
    double heard_s = 0.0;
    for (const StationMicrophone& microphone : microphones)
        heard_s = std::max(heard_s, microphone.heard_until_s());
    return heard_s;
}

Station::Station(const StationSettings& settings, const Profile* profile,
                 std::span<const double> sample_rates_hz, StationEvents& events)
    : parts_(std::make_unique<Parts>(settings, profile, sample_rates_hz, events)) {}

Station::~Station() = default;

void Station::place_microphone(std::size_t microphone, double offset_s) {
    parts_->microphones.at(microphone).offset_s = offset_s;
}

double Station::microphone_offset_s(std::size_t microphone) const {
    return parts_->microphones.at(microphone).offset_s;
}

void Station::hear(std::size_t microphone, std::span<const float> samples) {
    listen(microphone, samples);
    parts_->collect(microphone);
    parts_->advance();
}

void Station::listen(std::size_t microphone, std::span<const float> samples) {
    parts_->microphones.at(microphone).hear(samples);
}

void Station::take_in() {
    for (std::size_t i = 0; i < parts_->microphones.size(); ++i) parts_->collect(i);
    parts_->advance();
}

void Station::lose(std::size_t microphone, std::int64_t count, GapCause cause) {
    StationMicrophone& heard = parts_->microphones.at(microphone);
    const double start_s = heard.lose(count);
    parts_->gaps.add(heard.settings().name, start_s, heard.heard_until_s(), cause);
    parts_->collect(microphone);
    parts_->advance();
}

void Station::take(const Edge& edge) {
    parts_->cycle.take(edge);
    parts_->work.take(edge);
    parts_->noises.take(edge);
    parts_->emit_phase(edge);
    parts_->emit_second_stuns();
}

void Station::contacts_known_until(double time_s) {
    parts_->contacts_known_s = std::max(parts_->contacts_known_s, time_s);
    parts_->cycle.known_until(time_s);
    parts_->advance();
}

void Station::lose_contacts(const std::string& source, double start_s, double end_s) {
    parts_->gaps.add(source, start_s, end_s, GapCause::kContactsLost);
}

void Station::finish() {
    if (parts_->finished) return;
    for (std::size_t i = 0; i < parts_->microphones.size(); ++i) {
        parts_->microphones[i].finish();
        parts_->collect(i);
    }
    parts_->cycle.finish(parts_->heard_until_s());
    parts_->finished = true;
    parts_->advance();
}

double Station::settled_until_s() const {
    return std::min({parts_->settled_until_s(), parts_->contacts_known_s, parts_->cycle.placeable_until_s(),
                     parts_->calls.earliest_s(), parts_->noises.earliest_s()});
}

} // namespace quietpass
