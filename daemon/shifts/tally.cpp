#include "daemon/shifts/tally.h"

#include <algorithm>
#include <stdexcept>

#include "daemon/hearing/separation.h"
#include "daemon/shifts/durations.h"

namespace quietpass {
namespace {

Durations durations(const std::vector<Passage>& passages, double (Passage::*of)() const) {
    DurationCollector collector(of);
    for (const Passage& passage : passages) collector.add(passage);
    return collector.durations();
}

StunnedOnce stunned_once(const std::vector<Passage>& passages, double confidence) {
    StunnedOnce out;
    for (const Passage& passage : passages) {
        if (!is_animal(passage) || !contacts_known(passage) || passage.stuns == 0) continue;
        ++out.stunned;
        if (passage.stuns == 1) ++out.once;
    }
    if (const auto interval = wilson_interval(out.once, out.stunned, confidence)) {
        out.percent = 100.0 * static_cast<double>(out.once) / static_cast<double>(out.stunned);
        out.percent_low = 100.0 * interval->low;
        out.percent_high = 100.0 * interval->high;
    }
    return out;
}

HolderBangs holder_bangs(const std::vector<Passage>& passages) {
    HolderBangs out;
    for (const Passage& passage : passages) {
        if (!is_animal(passage) || !passage.covered || !passage.bangs) continue;
        ++out.held;
        out.bangs += *passage.bangs;
        if (*passage.bangs > 0) ++out.with_bang;
    }
    return out;
}

std::optional<double> share_of(double part, double whole) {
    if (!(whole > 0.0)) return std::nullopt;
    return part / whole;
}

bool lies_in(const std::vector<TimeSpan>& spans, double time_s) {
    return std::any_of(spans.begin(), spans.end(), [time_s](const TimeSpan& span) {
        return span.start_s <= time_s && time_s < span.end_s;
    });
}

// The word under which passages are excluded that would have been scored elsewhere.
const char* never_scored_word(Species species) {
    return species == Species::kSheep ? "species_not_scored" : "several_in_line";
}

// Exactly at the limit is within it; a limit like 3.3 has no exact double, so the comparison gives way a
// little.
Verdict verdict_of(double percent, double limit_percent) {
    constexpr double kRounding = 1e-9;
    return percent > limit_percent + kRounding ? Verdict::kOverLimit : Verdict::kWithinLimit;
}

void judge(SquealsAtStun& squeals, double confidence) {
    const auto interval = wilson_interval(squeals.squealed, squeals.stunned, confidence);
    if (!interval) return;
    squeals.percent = 100.0 * static_cast<double>(squeals.squealed) / static_cast<double>(squeals.stunned);
    squeals.percent_low = 100.0 * interval->low;
    squeals.percent_high = 100.0 * interval->high;
    squeals.verdict = verdict_of(*squeals.percent, squeals.limit_percent);
}

void judge(ShiftRecord& record, double confidence) {
    const std::optional<Interval> interval = wilson_interval(record.vocal, record.scored, confidence);
    if (!interval) return;
    record.percent = 100.0 * static_cast<double>(record.vocal) / static_cast<double>(record.scored);
    record.percent_low = 100.0 * interval->low;
    record.percent_high = 100.0 * interval->high;
    record.verdict = verdict_of(*record.percent, record.limit_percent);
    record.interval_contains_limit =
        *record.percent_low <= record.limit_percent && record.limit_percent <= *record.percent_high;
}

} // namespace

std::string why_never_scored(const StationSettings& settings) {
    if (settings.species == Species::kSheep) {
        return "sheep call to each other when nothing is wrong: vocalization is never scored for sheep";
    }
    if (settings.species == Species::kPig && settings.restraint.kind == RestraintKind::kConveyor) {
        return "several pigs ride in line here: pigs are scored only where one animal at a time is "
               "restrained";
    }
    return "";
}

Tally::Tally(const StationSettings& settings, double confidence)
    : settings_(settings), confidence_(confidence) {
    if (!(confidence > 0.0 && confidence < 1.0)) {
        throw std::invalid_argument("Tally: expected a confidence between 0 and 1");
    }
}

void Tally::add(const Passage& passage) {
    passages_.push_back(passage);
}

void Tally::add(const StationCall& call) {
    if (call.waiting()) ++waiting_calls_;
    if (!call.counted || !call.passage_id || !call.phase) return;
    ++counted_calls_[*call.passage_id].at(static_cast<std::size_t>(*call.phase));
}

void Tally::add(const Gap& gap) {
    gaps_.push_back(gap);
}

void Tally::add_stop(double start_s, double end_s) {
    stops_.push_back({start_s, end_s});
}

ShiftRecord Tally::record(double start_s, double end_s) const {
    ShiftRecord record;
    record.station = settings_.name;
    record.species = settings_.species;
    record.timezone = settings_.timezone;
    record.start_s = start_s;
    record.end_s = end_s;
    record.confidence = confidence_;
    record.limit_percent = settings_.scoring.limit_percent;
    record.basis = settings_.scoring.basis;

    const Separation separation = separation_of(settings_);
    record.whose_told_by = name_of(separation.by);
    record.whose_note = separation.note;
    if (separation.by != SeparatedBy::kNothing) record.waiting_calls = waiting_calls_;

    count_passages(record);
    record.held_for_s = durations(passages_, &Passage::held_for_s);
    record.body_held_for_s = durations(passages_, &Passage::body_held_for_s);
    record.to_stun_s = durations(passages_, &Passage::to_stun_s);
    record.restrained_for_s = durations(passages_, &Passage::restrained_for_s);
    if (!settings_.has(Role::kCut)) record.stunned_once = stunned_once(passages_, confidence_);
    record.holder_bangs = holder_bangs(passages_);
    measure_times(record);
    describe_microphones(record);
    judge(record, confidence_);
    if (record.squeals_at_stun) judge(*record.squeals_at_stun, confidence_);

    record.not_scored_because = why_never_scored(settings_);
    if (record.not_scored_because.empty() && record.scored == 0) {
        record.not_scored_because = record.passages == 0
                                        ? "no passage in this shift"
                                        : "no passage could be scored: see the excluded ones";
    }
    return record;
}

void Tally::count_passages(ShiftRecord& record) const {
    const bool never_scored = !why_never_scored(settings_).empty();
    if (settings_.species == Species::kPig) record.calls_at_stun = 0;
    if (settings_.species == Species::kPig && !settings_.has(Role::kCut)) {
        SquealsAtStun& squeals = record.squeals_at_stun.emplace();
        squeals.limit_percent = settings_.scoring.squeal_at_stun_limit_percent;
        squeals.basis = settings_.scoring.squeal_at_stun_basis;
    }
    std::int64_t animals = 0;
    std::int64_t covered = 0;
    for (const Passage& passage : passages_) {
        ++record.passages;
        record.calls_after_stun += passage.calls_after_stun;
        if (record.calls_at_stun) *record.calls_at_stun += passage.calls_at_stun;
        if (is_animal(passage)) {
            ++animals;
            if (passage.covered) ++covered;
            if (passage.stuns > 1 && !settings_.has(Role::kCut)) ++record.stunned_twice;
        }
        if (!passage.excluded.empty()) {
            ++record.excluded[passage.excluded];
        } else if (never_scored) {
            ++record.excluded[never_scored_word(settings_.species)];
        } else if (!passage.covered) {
            ++record.excluded["not_covered"];
        } else {
            ++record.scored;
            if (passage.vocal) ++record.vocal;
            if (record.squeals_at_stun && passage.stuns > 0) {
                ++record.squeals_at_stun->stunned;
                if (passage.calls_at_stun > 0) ++record.squeals_at_stun->squealed;
            }
            count_phases(record, passage.id);
        }
    }
    record.coverage.passages = share_of(static_cast<double>(covered), static_cast<double>(animals));
}

void Tally::count_phases(ShiftRecord& record, std::int64_t passage_id) const {
    const auto calls = counted_calls_.find(passage_id);
    if (calls == counted_calls_.end()) return;
    for (std::size_t phase = 0; phase < record.by_phase.size(); ++phase) {
        if (calls->second[phase] == 0) continue;
        record.by_phase[phase].counted_calls += calls->second[phase];
        ++record.by_phase[phase].vocal_passages;
    }
}

void Tally::describe_microphones(ShiftRecord& record) const {
    const TimeSpan shift{record.start_s, record.end_s};
    for (const MicrophoneSettings& microphone : settings_.microphones) {
        MicrophoneRecord described{microphone.name, microphone.reference, {}};
        for (const GapCause cause : kGapCauses) {
            std::vector<TimeSpan> spans;
            for (const Gap& gap : gaps_) {
                if (gap.source == microphone.name && gap.cause == cause) {
                    spans.push_back({gap.start_s, gap.end_s});
                }
            }
            const double lost_s = total_s(joined(spans, shift));
            if (lost_s > 0.0) described.not_heard_s[std::string(name_of(cause))] = lost_s;
        }
        record.microphones.push_back(std::move(described));
    }
}

void Tally::measure_times(ShiftRecord& record) const {
    const TimeSpan shift{record.start_s, record.end_s};
    std::vector<TimeSpan> unheard;
    std::vector<TimeSpan> unknown;
    for (const Gap& gap : gaps_) {
        (gap.cause == GapCause::kContactsLost ? unknown : unheard).push_back({gap.start_s, gap.end_s});
    }
    const std::vector<TimeSpan> stops = joined(stops_, shift);
    const std::vector<TimeSpan> moving = without(joined({shift}, shift), stops);
    const std::vector<TimeSpan> running = without(moving, joined(unknown, shift));
    const std::vector<TimeSpan> heard = without(running, joined(unheard, shift));

    record.stopped_s = total_s(stops);
    record.running_s = total_s(running);
    record.coverage.time_heard = share_of(total_s(heard), record.running_s);
    record.coverage.contacts_known = share_of(record.running_s, total_s(moving));

    // Wash-down closes and opens contacts: what was entered while the line stood is no throughput.
    const auto passed = std::count_if(passages_.begin(), passages_.end(), [&](const Passage& passage) {
        return is_animal(passage) && !lies_in(stops, passage.entered_s);
    });
    constexpr double kSecondsAnHour = 3600.0;
    record.line_rate_per_hour = share_of(static_cast<double>(passed) * kSecondsAnHour, record.running_s);
}

} // namespace quietpass
