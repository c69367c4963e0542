// The run chart of shifts: their shares against the limits of chance, with what was changed meanwhile.
#include <limits>

#include "daemon/changes/run_chart.h"
#include "daemon/journal/journal.h"
#include "daemon/records/people_rows.h"
#include "daemon/records/utc_text.h"
#include "daemon/reports/recorded_shift.h"
#include "daemon/reports/report_chart.h"
#include "daemon/web/api_route.h"
#include "daemon/web/chart_rows.h"
#include "daemon/web/journal_json.h"

namespace quietpass {

namespace {

constexpr std::size_t kMostMarks = 1000; // of lots and notes; changes are few
constexpr const char* kWhatLimitsAre =
    "p-chart, three standard deviations around the mean (Shewhart 1931): where a shift of its size lies "
    "while "
    "nothing changes. Animals of one lot are not independent, so more shifts lie outside than by chance "
    "alone.";

Json percent_or_null(const std::optional<double>& share) {
    return share ? Json(rounded(100.0 * *share, kPercentDecimals)) : Json();
}

template <typename T>
Json or_null(const std::optional<T>& value) {
    return value ? Json(*value) : Json();
}

void add_share(Json& json, const CountedShare& share) {
    json["scored"] = share.n;
    json["vocal"] = share.k;
    json["percent"] = or_null(share.percent);
    json["percent_low"] = or_null(share.percent_low);
    json["percent_high"] = or_null(share.percent_high);
}

// Of a shift that goes on: what is stored of it. What its time was like is told when it ends.
PeriodFigures so_far(const ChartedShift& charted) {
    PeriodFigures figures;
    figures.passages = charted.passages;
    figures.vocal = counted_share(charted.vocal, charted.scored);
    if (charted.animals > 0) {
        figures.passages_covered_percent =
            rounded(100.0 * static_cast<double>(charted.covered) / static_cast<double>(charted.animals),
                    kPercentDecimals);
    }
    return figures;
}

Json share_or_null(const std::optional<double>& percent) {
    return percent ? Json(*percent / 100.0) : Json();
}

Json point_json(const ChartedShift& charted, const PeriodFigures& figures) {
    const StoredShift& shift = charted.shift;
    const bool closed = !shift.record_json.empty();
    const std::optional<std::int64_t>& end = closed ? shift.end_utc_ns : shift.heard_until_utc_ns;
    Json json = {{"shift_id", shift.shift_id},
                 {"shift", shift.name},
                 {"state", closed ? "closed" : "open"},
                 {"start", utc_text(*shift.start_utc_ns)},
                 {"end", end ? Json(utc_text(*end)) : Json()},
                 {"passages", figures.passages}};
    add_share(json, figures.vocal);
    json["limit_percent"] = or_null(figures.limit_percent);
    json["basis"] = figures.basis;
    json["verdict"] = closed ? Json(name_of(figures.verdict)) : Json();
    json["coverage"] = {{"passages", share_or_null(figures.passages_covered_percent)},
                        {"time_heard", share_or_null(figures.time_heard_percent)},
                        {"contacts_known", share_or_null(figures.contacts_known_percent)}};
    json["by_review"] = nullptr;
    if (!charted.amendment_json.empty()) {
        const ReportAmendment amendment = recorded_amendment(shift.shift_id, charted.amendment_json);
        json["by_review"] = {{"amendment", amendment.number}};
        add_share(json["by_review"], amendment.reviewed);
    }
    return json;
}

// The change at which the mean that limits stand around ends.
std::optional<std::int64_t> mean_until(SQLite::Database& database, const std::optional<std::int64_t>& id) {
    if (!id) return std::nullopt;
    const auto change = Journal(read_journal(database)).entry(*id);
    if (!change || change->kind != EntryKind::kChange)
        throw Refusal{400, "no such change is in force", "change", "give one of /api/v1/changes"};
    return change->at_utc_ns;
}

// Limits are one shift's each, and stand from a number of shifts on.
void add_limits(Json& shifts, const RunChart& chart, const std::vector<std::size_t>& group_of) {
    for (std::size_t i = 0; i < shifts.size(); ++i) {
        const bool has = group_of[i] < chart.groups.size() && chart.groups[group_of[i]].limits.has_value();
        const ChartGroup group = has ? chart.groups[group_of[i]] : ChartGroup();
        shifts[i]["limit_low_percent"] =
            has ? percent_or_null(group.limits.value_or(Interval{}).low) : Json();
        shifts[i]["limit_high_percent"] =
            has ? percent_or_null(group.limits.value_or(Interval{}).high) : Json();
        shifts[i]["outside"] = has ? Json(group.outside()) : Json();
    }
}

// What people entered of this time, newest first where they are too many.
Json marks_json(SQLite::Database& database, std::int64_t from_utc_ns, std::int64_t to_utc_ns,
                std::size_t& left_out) {
    const Journal journal(read_journal_between(database, from_utc_ns, to_utc_ns));
    Json marks = Json::array();
    for (const JournalEntry& entry : journal.of_kind(EntryKind::kChange)) marks.push_back(entry_json(entry));
    std::vector<JournalEntry> others = journal.lots();
    const std::vector<JournalEntry> notes = journal.of_kind(EntryKind::kNote);
    others.insert(others.end(), notes.begin(), notes.end());
    std::stable_sort(others.begin(), others.end(),
                     [](const JournalEntry& a, const JournalEntry& b) { return a.at_utc_ns < b.at_utc_ns; });
    left_out = others.size() > kMostMarks ? others.size() - kMostMarks : 0;
    for (std::size_t i = left_out; i < others.size(); ++i) marks.push_back(entry_json(others[i]));
    return marks;
}

} // namespace

WebAnswer Api::chart(const Call& call) {
    ChartFilter filter;
    filter.from_utc_ns = call.moment("from");
    filter.to_utc_ns = call.moment("to");
    if (filter.from_utc_ns && filter.to_utc_ns && *filter.from_utc_ns >= *filter.to_utc_ns)
        throw Refusal{400, "this is not later than from", "to", "give a later moment"};
    filter.most = static_cast<int>(call.number("most", 1, 1000).value_or(400));
    const auto change = call.number("change", 1, INT64_MAX);
    return reader_.read([&](SQLite::Database& database) {
        const std::optional<std::int64_t> until_utc_ns = mean_until(database, change);
        const ChartedShifts found = read_charted_shifts(database, filter);
        Json shifts = Json::array();
        std::vector<ChartGroup> groups;
        std::vector<std::size_t> group_of;
        std::size_t of_mean = 0;
        for (const ChartedShift& charted : found.shifts) {
            const StoredShift& shift = charted.shift;
            const PeriodFigures figures = shift.record_json.empty()
                                              ? so_far(charted)
                                              : recorded_shift(shift.shift_id, shift.record_json).figures;
            shifts.push_back(point_json(charted, figures));
            // A shift that goes on is no shift yet: it is shown, and has no part in the mean.
            const bool counts = !shift.record_json.empty() && figures.vocal.n > 0;
            group_of.push_back(counts ? groups.size() : SIZE_MAX);
            if (!counts) continue;
            const bool after = until_utc_ns && *shift.start_utc_ns >= *until_utc_ns;
            groups.push_back({after, *shift.start_utc_ns, {figures.vocal.k, figures.vocal.n}, {}});
            if (!after) ++of_mean;
        }
        const RunChart chart = of_mean < kLimitsFrom ? RunChart{{}, {}} : charted(std::move(groups));
        add_limits(shifts, chart, group_of);
        Json mean = nullptr;
        if (chart.mean) {
            evaluation::Rate all;
            for (const ChartGroup& group : chart.groups) {
                if (group.after) continue;
                all.k += group.vocal.k;
                all.n += group.vocal.n;
            }
            mean = {{"shifts", of_mean},
                    {"vocal", all.k},
                    {"scored", all.n},
                    {"percent", percent_or_null(chart.mean)}};
        }
        std::size_t left_out = 0;
        Json marks = Json::array();
        if (!found.shifts.empty()) {
            marks =
                marks_json(database, filter.from_utc_ns.value_or(*found.shifts.front().shift.start_utc_ns),
                           filter.to_utc_ns.value_or(std::numeric_limits<std::int64_t>::max()), left_out);
        }
        return json_answer(
            {{"station", found.shifts.empty() ? Json() : Json(found.shifts.back().shift.station)},
             {"shifts", std::move(shifts)},
             {"more", found.more},
             {"mean", std::move(mean)},
             {"limits_from_shifts", kLimitsFrom},
             {"limits_are", kWhatLimitsAre},
             {"marks", std::move(marks)},
             {"marks_left_out", left_out}});
    });
}

} // namespace quietpass
