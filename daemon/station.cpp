#include "daemon/station.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <limits>
#include <map>
#include <optional>
#include <stdexcept>
#include <vector>

#include "classifiers/ear.h"
#include "daemon/gap_log.h"
#include "daemon/health/microphone_watch.h"
#include "daemon/health/work_times.h"
#include "daemon/hearing/call_merger.h"
#include "daemon/hearing/origin_finder.h"
#include "daemon/hearing/separation.h"
#include "daemon/hearing/sound_memory.h"
#include "daemon/passages/cycle.h"

namespace quietpass {

namespace {

// How long edges, calls and gaps are remembered behind what is settled: longer than any passage.
constexpr double kMemoryBeyondLongest_s = 120.0;

// Whose a call is is told from this much before it (the background) up to its end.
constexpr double kLead_s = 3.0;

struct Microphone {
    Microphone(const MicrophoneSettings& microphone, double sample_rate_hz, const Profile* profile,
               const HealthSettings& health_settings)
        : settings(microphone), rate_hz(sample_rate_hz), health(sample_rate_hz, health_settings) {
        if (profile != nullptr) ear.emplace(sample_rate_hz, *profile);
    }

    double heard_until_s() const { return static_cast<double>(samples) / rate_hz + offset_s; }

    // Calls before this station time are all known.
    double ear_settled_until_s() const { return ear ? ear->settled_until_s() + offset_s : heard_until_s(); }

    // … and faults too.
    double settled_until_s() const {
        return std::min(ear_settled_until_s(), health.settled_until_s() + offset_s);
    }

    MicrophoneSettings settings;
    double rate_hz;
    double offset_s = 0.0;
    std::int64_t samples = 0; // lost ones included
    std::optional<Ear> ear;
    MicrophoneWatch health;
    std::optional<SoundMemory> memory; // of those that tell whose a call is

    double sensitivity_db() const {
        return settings.reference ? settings.reference->sensitivity_db_spl_fs : 0.0;
    }
};

// A pair of microphones that tells whose a call is.
struct OriginTeller {
    MicrophonePair pair;
    OriginFinder finder;
    std::vector<float> near; // kept between calls for their room
    std::vector<float> far;
};

struct CallTally {
    int counted = 0;
    int at_stun = 0;
    int after_stun = 0;
};

std::vector<Role> roles_of(const StationSettings& settings) {
    std::vector<Role> roles;
    for (const ContactSettings& contact : settings.contacts) roles.push_back(contact.role);
    return roles;
}

} // namespace

struct Station::Parts {
    Parts(const StationSettings& station, const Profile* profile, std::span<const double> sample_rates_hz,
          StationEvents& receiver)
        : settings(station),
          events(receiver),
          cycle(station.restraint, roles_of(station)),
          work(station.health.work_s),
          calls(station.microphones.size(),
                [this](const HeardCall& heard, std::size_t index) { return trace(heard, index); }) {
        if (sample_rates_hz.size() != settings.microphones.size() || sample_rates_hz.empty()) {
            throw std::invalid_argument("Station: one sample rate a microphone, and at least one");
        }
        for (std::size_t i = 0; i < sample_rates_hz.size(); ++i) {
            microphones.emplace_back(settings.microphones[i], sample_rates_hz[i], profile, settings.health);
        }
        if (profile == nullptr) return;
        for (const MicrophonePair& pair : separating_pairs(settings)) {
            const SegmentSettings& band = profile->segments;
            tellers.push_back({pair, OriginFinder(pair, band.low_hz, band.high_hz), {}, {}});
            for (const std::size_t index : {pair.near, pair.far}) {
                if (!microphones[index].memory)
                    microphones[index].memory.emplace(microphones[index].rate_hz, kKept_s);
            }
        }
    }

    void collect(std::size_t index);
    void advance();
    void judge_health();
    void emit_minutes(Microphone& microphone);
    std::optional<TracedOrigin> trace(const HeardCall& heard, std::size_t index);
    std::optional<TracedOrigin> trace(OriginTeller& teller, const HeardCall& heard, std::size_t index);
    void place_calls();
    void place(MicrophoneCall call);
    std::string whose(const MicrophoneCall& call) const;
    bool only_up_the_race(const MicrophoneCall& call) const;
    void emit_passages();
    void emit_passage(Passage& passage);
    void emit_gaps();
    double microphones_settled_s() const;
    double ears_settled_s() const;
    double heard_until_s() const;

    StationSettings settings;
    StationEvents& events;
    Cycle cycle;
    WorkTimes work;
    std::vector<Microphone> microphones;
    GapLog gaps;
    double contacts_known_s = 0.0;
    double forgotten_s = 0.0;
    bool finished = false;

    std::vector<OriginTeller> tellers;
    CallMerger calls;
    std::deque<Passage> closed; // by entry; waiting for their calls
    std::map<std::int64_t, CallTally> tallies;
    std::int64_t next_call_id = 1;
};

void Station::Parts::collect(std::size_t index) {
    Microphone& microphone = microphones[index];
    if (microphone.ear) {
        HeardCall heard;
        while (microphone.ear->take(heard)) {
            heard.start_s += microphone.offset_s;
            heard.end_s += microphone.offset_s;
            calls.add(std::move(heard), index);
        }
    }
}

// Whether the line worked is known once the contacts are.
void Station::Parts::judge_health() {
    const double known_s = finished ? std::numeric_limits<double>::infinity() : contacts_known_s;
    for (Microphone& microphone : microphones) {
        microphone.health.judge_until(known_s - microphone.offset_s,
                                      [&](double own_s) { return work.at(own_s + microphone.offset_s); });
        HealthFault fault;
        while (microphone.health.take(fault)) {
            gaps.add(microphone.settings.name, fault.start_s + microphone.offset_s,
                     fault.end_s + microphone.offset_s, fault.cause);
        }
        emit_minutes(microphone);
    }
}

void Station::Parts::emit_minutes(Microphone& microphone) {
    MicrophoneMinute minute;
    while (microphone.health.take(minute)) {
        minute.microphone = microphone.settings.name;
        minute.start_s += microphone.offset_s;
        minute.end_s += microphone.offset_s;
        if (microphone.settings.reference) {
            minute.sensitivity_db = microphone.sensitivity_db();
            for (double* level_db : {&minute.level_db, &minute.background_db, &minute.rumble_db,
                                     &minute.body_db, &minute.high_db, &minute.hum_db}) {
                *level_db += *minute.sensitivity_db;
            }
        }
        events.on_health(minute);
    }
}

double Station::Parts::microphones_settled_s() const {
    double settled_s = std::numeric_limits<double>::infinity();
    if (finished) return settled_s;
    for (const Microphone& microphone : microphones)
        settled_s = std::min(settled_s, microphone.settled_until_s());
    return settled_s;
}

// Calls wait for the ears only: health may be suspicious for a minute or two, an alarm can't wait for that.
double Station::Parts::ears_settled_s() const {
    double settled_s = std::numeric_limits<double>::infinity();
    if (finished) return settled_s;
    for (const Microphone& microphone : microphones)
        settled_s = std::min(settled_s, microphone.ear_settled_until_s());
    return settled_s;
}

double Station::Parts::heard_until_s() const {
    double heard_s = 0.0;
    for (const Microphone& microphone : microphones) heard_s = std::max(heard_s, microphone.heard_until_s());
    return heard_s;
}

void Station::Parts::advance() {
    judge_health();
    place_calls();
    Passage passage;
    while (cycle.take_closed(passage)) closed.push_back(passage);
    emit_passages();
    emit_gaps();
    Edge edge;
    const char* why = "";
    while (cycle.take_stray(edge, why)) events.on_stray_edge(edge, why);
    double start_s = 0.0;
    double end_s = 0.0;
    while (cycle.take_stop(start_s, end_s)) events.on_stop(start_s, end_s);

    const double settled_s = std::min(microphones_settled_s(), contacts_known_s);
    const double memory_s = settings.restraint.longest_s + settings.restraint.after_stun_s +
                            settings.restraint.entry_before_s + kMemoryBeyondLongest_s;
    if (std::isfinite(settled_s) && settled_s - memory_s > forgotten_s + 60.0) {
        forgotten_s = settled_s - memory_s;
        cycle.forget_before(forgotten_s);
        gaps.forget_before(forgotten_s);
        work.forget_before(forgotten_s);
    }
}

// The likeliest to be a waiting animal's is asked first: each microphone up the race has its own view.
std::optional<TracedOrigin> Station::Parts::trace(const HeardCall& heard, std::size_t index) {
    std::optional<TracedOrigin> told;
    for (OriginTeller& teller : tellers) {
        auto traced = trace(teller, heard, index);
        if (traced && (!told || traced->judgement.origin > told->judgement.origin)) told = std::move(traced);
    }
    return told;
}

std::optional<TracedOrigin> Station::Parts::trace(OriginTeller& teller, const HeardCall& heard,
                                                  std::size_t index) {
    Microphone& near = microphones[teller.pair.near];
    Microphone& far = microphones[teller.pair.far];
    const double from_s = std::max({heard.start_s - kLead_s, near.memory->kept_from_s() + near.offset_s,
                                    far.memory->kept_from_s() + far.offset_s});
    const double to_s = std::min({heard.end_s, near.heard_until_s(), far.heard_until_s()});
    if (from_s >= heard.start_s ||
        !near.memory->excerpt(from_s - near.offset_s, to_s - near.offset_s, teller.near) ||
        !far.memory->excerpt(from_s - far.offset_s, to_s - far.offset_s, teller.far)) {
        return std::nullopt;
    }
    const std::size_t count = std::min(teller.near.size(), teller.far.size());
    const auto lead = static_cast<std::size_t>((heard.start_s - from_s) * dsp::kAnalysisRateHz);
    const auto evidence =
        teller.finder.measure(std::span(teller.near).first(count), std::span(teller.far).first(count), lead,
                              index == teller.pair.near  ? OriginFinder::HeardAt::kNear
                              : index == teller.pair.far ? OriginFinder::HeardAt::kFar
                                                         : OriginFinder::HeardAt::kEither,
                              heard.f0_hz);
    if (!evidence) return std::nullopt;
    TracedOrigin traced{judge_origin(teller.pair, *evidence), teller.pair.near, teller.pair.far,
                        std::nullopt};
    if (index == traced.near) traced.clear_db = evidence->near_clear_db;
    if (index == traced.far) traced.clear_db = evidence->far_clear_db;
    return traced;
}

void Station::Parts::place_calls() {
    const double settled_s = ears_settled_s();
    calls.settle(settled_s);
    const double placeable_s = finished ? std::numeric_limits<double>::infinity() : cycle.placeable_until_s();
    MicrophoneCall call;
    while (calls.take(placeable_s, call)) place(std::move(call));

    for (Microphone& microphone : microphones) {
        if (!microphone.memory || !std::isfinite(settled_s)) continue;
        const double needed_s = std::min(settled_s, calls.earliest_s());
        microphone.memory->forget_before(needed_s - kLead_s - 1.0 - microphone.offset_s);
    }
}

// What the microphones' pair told of it, in words; empty where it told nothing.
std::string Station::Parts::whose(const MicrophoneCall& call) const {
    if (!call.origin) return "";
    return words_of(call.origin->judgement, settings.microphones[call.origin->near].name,
                    settings.microphones[call.origin->far].name);
}

// Heard by microphones up the race alone, and not surely the restrained animal's. What the microphone at the
// restraint would not have counted by itself must not count for another that hears those who wait better.
bool Station::Parts::only_up_the_race(const MicrophoneCall& call) const {
    if (call.origin && call.origin->judgement.origin == Origin::kRestraint) return false;
    return std::all_of(call.heard_at.begin(), call.heard_at.end(), [&](std::size_t microphone) {
        return std::any_of(tellers.begin(), tellers.end(),
                           [&](const OriginTeller& teller) { return teller.pair.far == microphone; });
    });
}

void Station::Parts::place(MicrophoneCall placed) {
    const MicrophoneSettings& microphone = microphones[placed.microphone].settings;
    const Cycle::Place where = cycle.place(placed.heard.start_s, microphone.zone);
    const std::string told = whose(placed);
    const bool waiting = placed.origin && placed.origin->judgement.origin == Origin::kWaiting;
    StationCall call;
    call.id = next_call_id++;
    call.microphone = microphone.name;
    call.heard = std::move(placed.heard);
    call.heard.level_db += microphones[placed.microphone].sensitivity_db();
    if (where.passage_id && !waiting) {
        call.passage_id = where.passage_id;
        call.passage_entered_s = where.passage_entered_s;
        call.phase = where.phase;
    }
    call.reason = where.reason;
    if (waiting) {
        call.reason = kWaitingAnimals;
    } else if (call.passage_id && !can_count(call.heard.kind)) {
        call.reason = "a grunt is recorded and never counted";
    } else if (call.passage_id && call.phase == Phase::kAfterStun) {
        tallies[*call.passage_id].after_stun += 1;
        call.reason = "after the stun: enters no percentage, a trained person checks the animal";
    } else if (call.passage_id && only_up_the_race(placed)) {
        call.reason = "heard up the race only, and whose it is can't be told";
    } else if (call.passage_id) {
        call.counted = true;
        CallTally& tally = tallies[*call.passage_id];
        tally.counted += 1;
        if (call.phase == Phase::kAtStun) tally.at_stun += 1;
    }
    if (!told.empty()) call.reason += (waiting ? ": " : "; ") + told;
    events.on_call(call);
}

void Station::Parts::emit_passages() {
    const double settled_s = microphones_settled_s();
    while (!closed.empty()) {
        const double end_s = closed.front().end_s;
        const bool decided = end_s < settled_s && end_s < contacts_known_s &&
                             end_s <= cycle.placeable_until_s() && calls.earliest_s() > end_s;
        if (!finished && !decided) return;
        emit_passage(closed.front());
        closed.pop_front();
    }
}

void Station::Parts::emit_passage(Passage& passage) {
    if (const auto tally = tallies.find(passage.id); tally != tallies.end()) {
        passage.calls = tally->second.counted;
        passage.calls_at_stun = tally->second.at_stun;
        passage.calls_after_stun = tally->second.after_stun;
        tallies.erase(tally);
    }
    passage.vocal = passage.calls > 0;

    // Only what can count must have been heard; a gap after that is told, for a call after the stun matters
    // too.
    const bool stunned = !std::isnan(passage.stunned_s);
    const double counts_until_s =
        stunned ? std::min(passage.end_s, passage.stunned_s + settings.restraint.at_stun_s) : passage.end_s;
    if (const auto cause = gaps.gap_in(passage.entered_s, counts_until_s)) {
        passage.covered = false;
        if (passage.excluded.empty()) passage.excluded = name_of(*cause);
    } else if (gaps.gap_in(counts_until_s, passage.end_s)) {
        passage.flags.emplace_back("after_stun_not_heard");
    }
    events.on_passage(passage);
}

void Station::Parts::emit_gaps() {
    const double settled_s =
        std::min(microphones_settled_s(), finished ? heard_until_s() + 1.0 : contacts_known_s);
    Gap gap;
    while (gaps.take_ended(settled_s, gap)) events.on_gap(gap);
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
    Microphone& heard = parts_->microphones.at(microphone);
    if (heard.ear) heard.ear->process(samples);
    heard.health.process(samples);
    if (heard.memory) heard.memory->hear(samples);
    heard.samples += static_cast<std::int64_t>(samples.size());
}

void Station::take_in() {
    for (std::size_t i = 0; i < parts_->microphones.size(); ++i) parts_->collect(i);
    parts_->advance();
}

void Station::lose(std::size_t microphone, std::int64_t count, GapCause cause) {
    Microphone& heard = parts_->microphones.at(microphone);
    const double start_s = heard.heard_until_s();
    heard.samples += count;
    parts_->gaps.add(heard.settings.name, start_s, heard.heard_until_s(), cause);
    if (heard.ear) heard.ear->skip(count);
    heard.health.lose(count);
    if (heard.memory) heard.memory->lose(count);
    parts_->collect(microphone);
    parts_->advance();
}

void Station::take(const Edge& edge) {
    parts_->cycle.take(edge);
    parts_->work.take(edge);
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
        Microphone& microphone = parts_->microphones[i];
        if (microphone.ear) microphone.ear->finish();
        microphone.health.finish();
        parts_->collect(i);
    }
    parts_->cycle.finish(parts_->heard_until_s());
    parts_->finished = true;
    parts_->advance();
}

double Station::settled_until_s() const {
    return std::min({parts_->microphones_settled_s(), parts_->contacts_known_s,
                     parts_->cycle.placeable_until_s(), parts_->calls.earliest_s()});
}

} // namespace quietpass
