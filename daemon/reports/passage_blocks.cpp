#include "daemon/reports/passage_blocks.h"

#include <algorithm>
#include <set>

#include "daemon/audits/audit_comparison.h"
#include "daemon/factors/factors.h"
#include "daemon/factors/lot_figures.h"
#include "daemon/factors/noise_rows.h"
#include "daemon/reports/pooled_figures.h"

namespace quietpass {

namespace {

// As `quietpass handaudit compare`.
constexpr double kEntryWithin_s = 10.0;
constexpr std::int64_t kEntryWithin_ns = 10'000'000'000;

// Of scored shifts: elsewhere no animal of a passage without a reason was scored either.
std::vector<PassageFacts> facts_in(const ReportFigures& figures, const ReportRows& rows,
                                   const Journal& journal) {
    std::set<std::int64_t> scored;
    for (const ReportShift& shift : figures.shifts) {
        if (shift.closed && shift.figures.vocal.n > 0) scored.insert(shift.shift_id);
    }
    std::vector<PassageFacts> all;
    for (const SpanRows& one : rows.passages) {
        if (one.shifts.empty() || scored.count(one.shifts.front().shift_id) == 0) continue;
        std::vector<PassageFacts> facts = facts_of(one, journal, RecordSpan{});
        std::move(facts.begin(), facts.end(), std::back_inserter(all));
    }
    return all;
}

void set_factors(ReportFigures& figures, const std::vector<PassageFacts>& facts) {
    const FactorSettings settings;
    std::vector<FactorRow> rows = factor_rows(facts, settings);
    for (FactorRow& row : noise_rows(facts, settings)) rows.push_back(std::move(row));
    figures.factors_looked_at = static_cast<std::int64_t>(rows.size());
    // What is left: more often vocal than the rest, by more than the interval allows for chance.
    std::erase_if(rows, [](const FactorRow& row) { return !row.ratio || row.ratio->interval.low <= 1.0; });
    std::stable_sort(rows.begin(), rows.end(), [](const FactorRow& a, const FactorRow& b) {
        return a.ratio->interval.low > b.ratio->interval.low;
    });
    if (rows.size() > kMostFactors) rows.resize(kMostFactors);
    for (const FactorRow& row : rows) {
        figures.goes_with_calls.push_back(
            {row.factor,
             row.level,
             row.unit,
             counted_share(row.group.k, row.group.n),
             row.rest.k,
             row.rest.n,
             {rounded(row.ratio->value, kRatioDecimals), rounded(row.ratio->interval.low, kRatioDecimals),
              rounded(row.ratio->interval.high, kRatioDecimals)}});
    }
}

// Lots where each scored animal has one, else the shifts of a longer span.
void set_groups(ReportFigures& figures, const std::vector<PassageFacts>& facts) {
    const LotFigures lots = lot_figures(facts);
    std::optional<statistics::ClusterShare> share;
    if (lots.without_lot == 0) share = lots.allowing_for_lots;
    const bool by_lots = share.has_value();
    if (!share && !figures.one_shift()) {
        std::vector<evaluation::Rate> shifts;
        for (const ReportShift& shift : figures.shifts) {
            if (shift.figures.vocal.n > 0) shifts.push_back({shift.figures.vocal.k, shift.figures.vocal.n});
        }
        share = statistics::cluster_share(shifts);
    }
    if (!share) return;
    figures.by_groups = ByGroups{by_lots, share->lots, rounded(100.0 * share->interval.low, kPercentDecimals),
                                 rounded(100.0 * share->interval.high, kPercentDecimals)};
    // A shift's own record says what is sure of it; of a pool it is said here.
    std::optional<bool>& unsure = figures.all.interval_contains_limit;
    if (figures.one_shift() || !unsure || !figures.all.limit_percent) return;
    unsure = *unsure || (figures.by_groups->percent_low <= *figures.all.limit_percent &&
                         *figures.all.limit_percent <= figures.by_groups->percent_high);
}

// The shifts that were audited: among a month's passages each row would be looked for in all of them.
SpanRows audited_passages(const ReportRows& rows) {
    SpanRows machine;
    for (const SpanRows& one : rows.passages) {
        const StoredShift& shift = one.shifts.front();
        const bool is_audited =
            std::any_of(rows.audited.begin(), rows.audited.end(), [&](const HandAuditRow& row) {
                if (row.shift_id) return *row.shift_id == shift.shift_id;
                return row.at_utc_ns && shift.start_utc_ns && shift.end_utc_ns &&
                       *row.at_utc_ns >= *shift.start_utc_ns - kEntryWithin_ns &&
                       *row.at_utc_ns < *shift.end_utc_ns + kEntryWithin_ns;
            });
        if (!is_audited) continue;
        machine.shifts.push_back(shift);
        machine.passages.insert(machine.passages.end(), one.passages.begin(), one.passages.end());
    }
    return machine;
}

void set_audit(ReportFigures& figures, const ReportRows& rows) {
    const std::vector<HandAuditRow>& audited = rows.audited;
    if (audited.empty()) return;
    const AuditComparison comparison = compare_audit(audited, audited_passages(rows), kEntryWithin_s);
    const evaluation::Confusion& counts = comparison.figures.front().counts;
    ReportAudit audit;
    std::set<std::string> auditors;
    for (const HandAuditRow& row : audited) {
        if (!row.auditor.empty()) auditors.insert(row.auditor);
    }
    audit.auditors.assign(auditors.begin(), auditors.end());
    audit.vocal_to_both = counts.true_positives;
    audit.vocal_to_person_only = counts.false_negatives;
    audit.vocal_to_machine_only = counts.false_positives;
    audit.silent_to_both = counts.true_negatives;
    audit.not_compared = static_cast<std::int64_t>(audited.size()) - counts.all();
    audit.agreement = counted_share(counts.agreement().k, counts.agreement().n);
    audit.kappa = rounded(counts.kappa(), kRatioDecimals);
    audit.pabak = rounded(counts.pabak(), kRatioDecimals);
    figures.audit = audit;
}

} // namespace

void add_passage_blocks(ReportFigures& figures, const ReportRows& rows, const Journal& journal) {
    const std::vector<PassageFacts> facts = facts_in(figures, rows, journal);
    set_factors(figures, facts);
    set_groups(figures, facts);
    set_audit(figures, rows);
}

} // namespace quietpass
