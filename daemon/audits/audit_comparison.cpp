#include "daemon/audits/audit_comparison.h"

#include <algorithm>
#include <set>
#include <tuple>

#include "classifiers/evaluation/f1_interval.h"
#include "classifiers/evaluation/time_matching.h"
#include "classifiers/statistics/kappa_interval.h"

namespace quietpass {

namespace {

constexpr double kSecond_ns = 1e9;

std::optional<SpanPassage> by_number(const HandAuditRow& row, const SpanRows& machine) {
    for (const SpanPassage& passage : machine.passages) {
        if (passage.shift_id == row.shift_id && passage.passage.id == row.passage_id) return passage;
    }
    return std::nullopt;
}

// Times of one auditor are matched to passages one to one; another auditor may have the same passages.
void match_by_time(const std::string& auditor, const SpanRows& machine, double entry_within_s,
                   AuditComparison& out, std::vector<double>& offsets_s) {
    std::vector<ComparedRow*> rows;
    for (ComparedRow& row : out.rows) {
        if (row.row.at_utc_ns && row.row.auditor == auditor) rows.push_back(&row);
    }
    std::vector<const SpanPassage*> dated;
    for (const SpanPassage& passage : machine.passages) {
        if (passage.entered_utc_ns) dated.push_back(&passage);
    }
    if (rows.empty() || dated.empty()) return;
    // Seconds from the first passage on: UTC nanoseconds don't fit into a double.
    const std::int64_t zero_ns = *dated.front()->entered_utc_ns;
    const auto seconds = [&](std::int64_t utc_ns) {
        return static_cast<double>(utc_ns - zero_ns) / kSecond_ns;
    };
    std::vector<double> wanted;
    std::vector<double> found;
    for (const ComparedRow* row : rows) wanted.push_back(seconds(*row->row.at_utc_ns));
    for (const SpanPassage* passage : dated) found.push_back(seconds(*passage->entered_utc_ns));
    const auto partners = evaluation::match_times(wanted, found, entry_within_s);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (!partners[i]) continue;
        rows[i]->passage = *dated[*partners[i]];
        offsets_s.push_back(wanted[i] - found[*partners[i]]);
    }
}

void say_why_left_out(AuditComparison& out) {
    std::set<std::tuple<std::string, std::int64_t, std::int64_t>> taken;
    for (ComparedRow& row : out.rows) {
        if (!row.passage) {
            row.left_out = "no_passage";
        } else if (!row.passage->passage.excluded.empty()) {
            row.left_out = row.passage->passage.excluded;
        } else if (!taken.insert({row.row.auditor, row.passage->shift_id, row.passage->passage.id}).second) {
            row.left_out = "twice";
        }
        if (!row.left_out.empty()) ++out.left_out[row.left_out];
    }
}

std::optional<Interval> interval_of(const evaluation::Rate& rate, double confidence) {
    return wilson_interval(rate.k, rate.n, confidence);
}

AuditFigures figures_of(const AuditComparison& comparison, const std::string& auditor, bool all,
                        double confidence) {
    AuditFigures figures;
    figures.auditor = auditor;
    for (const ComparedRow& row : comparison.rows) {
        if (!row.left_out.empty() || (!all && row.row.auditor != auditor)) continue;
        figures.counts.add(row.row.vocal, row.passage->passage.vocal);
    }
    const evaluation::Confusion& counts = figures.counts;
    figures.agreement = interval_of(counts.agreement(), confidence);
    // PABAK is 2·agreement − 1, so its interval is the agreement's.
    if (figures.agreement) {
        figures.pabak = Interval{2.0 * figures.agreement->low - 1.0, 2.0 * figures.agreement->high - 1.0};
    }
    // The share of agreement on vocal animals is F1 by another name.
    figures.positive_agreement = counts.f1();
    figures.positive_agreement_interval = evaluation::f1_interval(counts, confidence);
    figures.kappa = statistics::kappa_interval(counts, confidence);
    figures.sensitivity = interval_of(counts.sensitivity(), confidence);
    figures.specificity = interval_of(counts.specificity(), confidence);
    return figures;
}

} // namespace

AuditComparison compare_audit(const std::vector<HandAuditRow>& audit, const SpanRows& machine,
                              double entry_within_s, double confidence) {
    AuditComparison out;
    std::set<std::string> auditors;
    for (const HandAuditRow& row : audit) {
        out.rows.push_back({row, row.passage_id ? by_number(row, machine) : std::nullopt, ""});
        auditors.insert(row.auditor);
    }
    std::vector<double> offsets_s;
    for (const std::string& auditor : auditors) {
        match_by_time(auditor, machine, entry_within_s, out, offsets_s);
    }
    if (!offsets_s.empty()) {
        const auto middle = offsets_s.begin() + static_cast<std::ptrdiff_t>(offsets_s.size() / 2);
        std::nth_element(offsets_s.begin(), middle, offsets_s.end());
        out.clock_offset_s = *middle;
    }
    say_why_left_out(out);
    out.figures.push_back(figures_of(out, "", true, confidence));
    if (auditors.size() > 1) {
        for (const std::string& auditor : auditors) {
            out.figures.push_back(figures_of(out, auditor, false, confidence));
        }
    }
    return out;
}

} // namespace quietpass
