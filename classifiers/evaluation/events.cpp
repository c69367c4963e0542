#include "classifiers/evaluation/events.h"

#include <algorithm>
#include <functional>
#include <map>
#include <set>
#include <tuple>

#include "classifiers/evaluation/judged_passage.h"

namespace quietpass::evaluation {

namespace {

void judge(FoundCall& found, ShiftEvents& events) {
    double most_s = 0.0;
    for (TrueCall& call : events.calls) {
        const double both_s = overlap_s(found.span, call.span);
        if (both_s <= 0.0) continue;
        call.heard = true;
        found.is_call = true;
        if (both_s <= most_s) continue;
        found.behind = call.phase;
        most_s = both_s;
    }
    if (found.is_call) return;
    OtherSound* most = nullptr;
    for (OtherSound& other : events.others) {
        const double both_s = overlap_s(found.span, other.span);
        if (both_s <= most_s) continue;
        most = &other;
        most_s = both_s;
    }
    if (most == nullptr) return;
    most->called = true;
    found.behind = most->kind;
}

} // namespace

void judge_events(ShiftEvents& events) {
    for (FoundCall& found : events.found) judge(found, events);
}

std::vector<FigureRow> event_figures(const std::vector<ShiftEvents>& shifts,
                                     const BootstrapSettings& settings) {
    std::vector<Judged> all;
    std::map<int, std::vector<Judged>, std::greater<>> by_level;
    std::map<std::string, std::vector<Judged>> by_phase;
    for (const ShiftEvents& shift : shifts) {
        for (const TrueCall& call : shift.calls) {
            const Judged judged{true, call.heard, call.recording};
            all.push_back(judged);
            if (call.snr_db) by_level[level_of(*call.snr_db)].push_back(judged);
            if (!call.phase.empty()) by_phase[call.phase].push_back(judged);
        }
        for (const FoundCall& found : shift.found) {
            if (found.is_call) continue;
            all.push_back({false, true, ""});
            // Another level's row would be no row of its own.
            if (found.level && by_level.contains(*found.level))
                by_level[*found.level].push_back({false, true, ""});
        }
    }
    std::vector<FigureRow> rows;
    rows.push_back({"event", "all", "", figures_of(all, settings)});
    for (const auto& [level, judged] : by_level)
        rows.push_back({"event", "snr", std::to_string(level), figures_of(judged, settings)});
    for (const char* phase : {"entry", "body_held", "held", "at_stun", "after_stun", "waiting"}) {
        const auto found = by_phase.find(phase);
        if (found != by_phase.end())
            rows.push_back({"event", "phase", phase, figures_of(found->second, settings)});
    }
    return rows;
}

std::vector<ConfounderRow> confounders_of(const std::vector<ShiftEvents>& shifts, double confidence) {
    std::map<std::string, ConfounderRow> by_kind;
    for (const ShiftEvents& shift : shifts) {
        for (const OtherSound& other : shift.others) {
            ConfounderRow& row = by_kind[other.kind];
            ++row.called.n;
            if (other.called) ++row.called.k;
        }
        std::map<std::string, std::set<std::string>> passages;
        for (const FoundCall& found : shift.found) {
            const std::string kind = found.is_call ? "call, " + found.behind : found.behind;
            if (!found.is_call) ++by_kind[kind].false_calls;
            if (!found.quiet_passage.empty()) passages[kind].insert(found.quiet_passage);
        }
        for (const auto& [kind, quiet] : passages)
            by_kind[kind].quiet_passages += static_cast<std::int64_t>(quiet.size());
    }
    std::vector<ConfounderRow> rows;
    for (auto& [kind, row] : by_kind) {
        row.kind = kind;
        row.interval = wilson_interval(row.called.k, row.called.n, confidence);
        rows.push_back(row);
    }
    std::stable_sort(rows.begin(), rows.end(), [](const ConfounderRow& a, const ConfounderRow& b) {
        return std::tie(a.quiet_passages, a.false_calls) > std::tie(b.quiet_passages, b.false_calls);
    });
    return rows;
}

} // namespace quietpass::evaluation
