#include "daemon/reports/pooled_figures.h"

#include <algorithm>

#include "daemon/shifts/durations.h"

namespace quietpass {

namespace {

// A mean of what has a value, weighted.
class WeightedMean {
  public:
    void add(const std::optional<double>& value, double weight) {
        if (!value || !(weight > 0.0)) return;
        sum_ += *value * weight;
        weight_ += weight;
    }
    std::optional<double> value(int decimals) const {
        if (!(weight_ > 0.0)) return std::nullopt;
        return rounded(sum_ / weight_, decimals);
    }

  private:
    double sum_ = 0.0;
    double weight_ = 0.0;
};

void add(std::optional<std::int64_t>& sum, const std::optional<std::int64_t>& more) {
    if (more) sum = sum.value_or(0) + *more;
}

void add_counts(PeriodFigures& sum, const PeriodFigures& shift) {
    sum.passages += shift.passages;
    sum.vocal.n += shift.vocal.n;
    sum.vocal.k += shift.vocal.k;
    for (std::size_t i = 0; i < sum.phases.size(); ++i) {
        sum.phases.at(i).vocal.k += shift.phases.at(i).vocal.k;
        sum.phases.at(i).counted_calls += shift.phases.at(i).counted_calls;
    }
    for (const auto& [reason, count] : shift.excluded) sum.excluded[reason] += count;
    sum.has_cut = sum.has_cut || shift.has_cut;
    if (shift.stunned_once) {
        if (!sum.stunned_once) sum.stunned_once = CountedShare{};
        sum.stunned_once->k += shift.stunned_once->k;
        sum.stunned_once->n += shift.stunned_once->n;
    }
    sum.stunned_twice += shift.stunned_twice;
    sum.calls_after_stun += shift.calls_after_stun;
    add(sum.calls_at_stun, shift.calls_at_stun);
    add(sum.waiting_calls, shift.waiting_calls);
    if (shift.holder_bangs) {
        HolderBangs bangs = sum.holder_bangs.value_or(HolderBangs{});
        bangs.held += shift.holder_bangs->held;
        bangs.with_bang += shift.holder_bangs->with_bang;
        bangs.bangs += shift.holder_bangs->bangs;
        sum.holder_bangs = bangs;
    }
}

void add_times(PeriodFigures& sum, const std::vector<PeriodFigures>& shifts) {
    WeightedMean rate;
    WeightedMean heard;
    WeightedMean known;
    // A night with a late animal in it is as long as a shift, and nobody expects it to be heard or fast.
    const bool planned = std::any_of(shifts.begin(), shifts.end(),
                                     [](const PeriodFigures& shift) { return !shift.between_shifts; });
    for (const PeriodFigures& shift : shifts) {
        if (planned && shift.between_shifts) continue;
        sum.running_s += shift.running_s;
        sum.stopped_s += shift.stopped_s;
        rate.add(shift.line_rate_per_hour, shift.running_s);
        heard.add(shift.time_heard_percent, shift.running_s);
        // running = known share of the moving time
        const double share = shift.contacts_known_percent.value_or(0.0) / 100.0;
        if (share > 0.0) known.add(shift.contacts_known_percent, shift.running_s / share);
    }
    sum.line_rate_per_hour = rate.value(kRateDecimals);
    sum.time_heard_percent = heard.value(kPercentDecimals);
    sum.contacts_known_percent = known.value(kPercentDecimals);
}

void add_passages(PeriodFigures& sum, const std::vector<SpanRows>& passages) {
    std::array collectors = {
        DurationCollector(&Passage::held_for_s), DurationCollector(&Passage::body_held_for_s),
        DurationCollector(&Passage::to_stun_s), DurationCollector(&Passage::restrained_for_s)};
    std::int64_t animals = 0;
    std::int64_t covered = 0;
    for (const SpanRows& rows : passages) {
        for (const SpanPassage& row : rows.passages) {
            for (DurationCollector& collector : collectors) collector.add(row.passage);
            if (!is_animal(row.passage)) continue;
            ++animals;
            if (row.passage.covered) ++covered;
        }
    }
    for (std::size_t i = 0; i < collectors.size(); ++i) {
        Durations durations = collectors.at(i).durations();
        durations.median = rounded(durations.median, kSecondsDecimals);
        durations.p95 = rounded(durations.p95, kSecondsDecimals);
        durations.max = rounded(durations.max, kSecondsDecimals);
        sum.times.at(i) = durations;
    }
    sum.passages_covered_percent = counted_share(covered, animals).percent;
}

void take_limit(PeriodFigures& sum, const std::vector<PeriodFigures>& shifts) {
    if (shifts.empty()) return;
    const PeriodFigures& first = shifts.front();
    const bool same = std::all_of(shifts.begin(), shifts.end(), [&](const PeriodFigures& shift) {
        return shift.limit_percent == first.limit_percent && shift.basis == first.basis;
    });
    if (!same) return;
    sum.limit_percent = first.limit_percent;
    sum.basis = first.basis;
}

} // namespace

void judge(PeriodFigures& figures) {
    const CountedShare& vocal = figures.vocal;
    figures.verdict = Verdict::kNotScored;
    figures.interval_contains_limit.reset();
    if (!figures.limit_percent || !vocal.percent) return;
    // From the counts: a rounded percentage could lie on the other side. As Tally, at the limit is within.
    constexpr double kRounding = 1e-9;
    const double percent = 100.0 * static_cast<double>(vocal.k) / static_cast<double>(vocal.n);
    figures.verdict =
        percent > *figures.limit_percent + kRounding ? Verdict::kOverLimit : Verdict::kWithinLimit;
    figures.interval_contains_limit =
        *vocal.percent_low <= *figures.limit_percent && *figures.limit_percent <= *vocal.percent_high;
}

PeriodFigures pooled_figures(const std::vector<PeriodFigures>& shifts,
                             const std::vector<SpanRows>& passages) {
    PeriodFigures sum;
    for (const PeriodFigures& shift : shifts) add_counts(sum, shift);
    sum.vocal = counted_share(sum.vocal.k, sum.vocal.n);
    for (PhaseFigures& phase : sum.phases) phase.vocal = counted_share(phase.vocal.k, sum.vocal.n);
    if (sum.stunned_once) sum.stunned_once = counted_share(sum.stunned_once->k, sum.stunned_once->n);
    add_times(sum, shifts);
    add_passages(sum, passages);
    take_limit(sum, shifts);
    if (!shifts.empty()) {
        const std::string& told_by = shifts.front().whose_told_by;
        const bool same = std::all_of(shifts.begin(), shifts.end(), [&](const PeriodFigures& shift) {
            return shift.whose_told_by == told_by;
        });
        if (same) sum.whose_told_by = told_by;
        if (!sum.vocal.percent) sum.not_scored_because = shifts.back().not_scored_because;
    }
    judge(sum);
    return sum;
}

} // namespace quietpass
