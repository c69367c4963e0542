#include "daemon/reports/report_statement.h"

#include "daemon/factors/passage_facts.h"
#include "daemon/records/utc_text.h"
#include "daemon/reports/report_words.h"

namespace quietpass {

namespace {

Cell moment(const std::optional<std::int64_t>& utc_ns) {
    return utc_ns ? Cell(utc_text(*utc_ns)) : Cell();
}

Cell text_cell(const std::string& text) {
    return text.empty() ? Cell() : Cell(text);
}

// One row, built with its columns side by side: a column can't lose its value.
class Row {
  public:
    explicit Row(Table& table) : table_(table), first_(table.rows.empty()) { table_.rows.emplace_back(); }

    Row& put(const std::string& key, Cell value, int decimals = kPercentDecimals) {
        if (first_) table_.columns.push_back({key, "", decimals, ShownTo::kMachines});
        table_.rows.back().push_back(std::move(value));
        return *this;
    }
    Row& put_share(const std::string& key, const CountedShare& share) {
        put(key, cell_of(share.percent));
        put(key + "_low", cell_of(share.percent_low));
        return put(key + "_high", cell_of(share.percent_high));
    }

  private:
    Table& table_;
    bool first_;
};

std::string counts_in(const std::map<std::string, std::int64_t>& counts) {
    std::string text;
    for (const auto& [reason, count] : counts) {
        text += (text.empty() ? "" : "; ") + reason + " " + std::to_string(count);
    }
    return text;
}

void put_vocal(Row& row, const PeriodFigures& figures) {
    row.put("passages", figures.passages).put("scored", figures.vocal.n).put("vocal", figures.vocal.k);
    row.put_share("percent", figures.vocal);
    row.put("limit_percent", cell_of(figures.limit_percent)).put("basis", text_cell(figures.basis));
    row.put("verdict", std::string(name_of(figures.verdict)));
    row.put("interval_contains_limit", cell_of(figures.interval_contains_limit));
    row.put("not_scored_because", text_cell(figures.not_scored_because));
}

void put_cycle(Row& row, const PeriodFigures& figures) {
    for (std::size_t i = 0; i < figures.phases.size(); ++i) {
        const std::string phase(name_of(kCountedPhases.at(i)));
        row.put("vocal_" + phase, figures.phases.at(i).vocal.k);
        row.put("calls_" + phase, figures.phases.at(i).counted_calls);
    }
    for (const CycleTime time : kCycleTimes) {
        const Durations& durations = figures.times.at(static_cast<std::size_t>(time));
        const std::string name(name_of(time));
        row.put(name + "_median", cell_of(durations.median), kSecondsDecimals);
        row.put(name + "_p95", cell_of(durations.p95), kSecondsDecimals);
        row.put(name + "_max", cell_of(durations.max), kSecondsDecimals);
        row.put(name + "_n", durations.n);
    }
    const CountedShare once = figures.stunned_once.value_or(CountedShare{});
    const bool has = figures.stunned_once.has_value();
    row.put("stunned", has ? Cell(once.n) : Cell()).put("stunned_once", has ? Cell(once.k) : Cell());
    row.put_share("stunned_once_percent", once);
    row.put("stunned_twice", figures.stunned_twice).put("calls_after_stun", figures.calls_after_stun);
    row.put("calls_at_stun", cell_of(figures.calls_at_stun));
}

void put_coverage(Row& row, const PeriodFigures& figures) {
    const HolderBangs bangs = figures.holder_bangs.value_or(HolderBangs{});
    const bool has = figures.holder_bangs.has_value();
    row.put("holder_bangs_held", has ? Cell(bangs.held) : Cell());
    row.put("holder_bangs_with_bang", has ? Cell(bangs.with_bang) : Cell());
    row.put("holder_bangs", has ? Cell(bangs.bangs) : Cell());
    row.put("line_rate_per_hour", cell_of(figures.line_rate_per_hour), kRateDecimals);
    row.put("running_s", figures.running_s, 3).put("stopped_s", figures.stopped_s, 3);
    row.put("passages_covered_percent", cell_of(figures.passages_covered_percent));
    row.put("time_heard_percent", cell_of(figures.time_heard_percent));
    row.put("contacts_known_percent", cell_of(figures.contacts_known_percent));
    row.put("excluded", counts_in(figures.excluded)).put("waiting_calls", cell_of(figures.waiting_calls));
}

void put_signature(Row& row, const std::optional<SignedHead>& head) {
    row.put("record_seq", head ? Cell(head->of_seq) : Cell());
    row.put("record_hash", head ? Cell(hex_of(head->hash)) : Cell());
    row.put("key_id", head ? Cell(head->key_id) : Cell());
    row.put("code", head ? Cell(code_of(*head)) : Cell());
}

void put_shift(Table& table, const ReportShift& shift, const std::string& of) {
    Row row(table);
    row.put("of", of).put("shift_id", shift.shift_id > 0 ? Cell(shift.shift_id) : Cell());
    row.put("shift", text_cell(shift.name));
    row.put("start", moment(shift.start_utc_ns)).put("end", moment(shift.end_utc_ns));
    row.put("closed", shift.closed).put("ended_by", text_cell(shift.ended_by));
    put_vocal(row, shift.figures);
    put_cycle(row, shift.figures);
    put_coverage(row, shift.figures);
    row.put("alarms", shift.alarms);
    const ReportAmendment amendment = shift.amendment.value_or(ReportAmendment{});
    row.put("amendment", shift.amendment ? Cell(amendment.number) : Cell());
    row.put("reviewed_vocal", shift.amendment ? Cell(amendment.reviewed.k) : Cell());
    row.put_share("reviewed_percent", amendment.reviewed);
    put_signature(row, shift.signature);
}

Section figures_section(const ReportFigures& figures) {
    Section section{"figures", "", {}, {}};
    for (const ReportShift& shift : figures.shifts) put_shift(section.table, shift, "shift");
    if (figures.one_shift()) return section;
    ReportShift all;
    all.start_utc_ns = figures.from_utc_ns;
    all.end_utc_ns = figures.to_utc_ns;
    all.closed = true;
    for (const ReportShift& shift : figures.shifts) all.closed = all.closed && shift.closed;
    all.figures = figures.all;
    all.alarms = static_cast<std::int64_t>(figures.alarms.size());
    all.signature = figures.signature;
    put_shift(section.table, all, "all");
    return section;
}

Section phases_section(const ReportFigures& figures) {
    Section section{"phases", "", {}, {}};
    for (std::size_t i = 0; i < figures.all.phases.size(); ++i) {
        const PhaseFigures& phase = figures.all.phases.at(i);
        Row row(section.table);
        row.put("phase", std::string(name_of(kCountedPhases.at(i))));
        row.put("vocal", phase.vocal.k).put("scored", phase.vocal.n).put_share("percent", phase.vocal);
        row.put("counted_calls", phase.counted_calls);
        row.put("look_at", english_report_words().trade(kCountedPhases.at(i), figures.all.has_cut));
        row.put("look_at_basis", english_report_words().common_practice);
    }
    return section;
}

Section excluded_section(const ReportFigures& figures) {
    Section section{"excluded", "", {}, {}};
    section.table.columns = {{"reason", "", 0, ShownTo::kMachines}, {"passages", "", 0, ShownTo::kMachines}};
    for (const auto& [reason, count] : figures.all.excluded) section.table.rows.push_back({reason, count});
    return section;
}

Section factors_section(const ReportFigures& figures) {
    Section section{"goes_with_calls", "", {}, {}};
    for (const FactorFigures& factor : figures.goes_with_calls) {
        Row row(section.table);
        row.put("factor", factor.factor).put("level", factor.level).put("unit", factor.unit);
        row.put("vocal", factor.group.k).put("passages", factor.group.n).put_share("percent", factor.group);
        row.put("rest_vocal", factor.rest_k).put("rest_passages", factor.rest_n);
        row.put("risk_ratio", factor.ratio.value).put("risk_ratio_low", factor.ratio.low);
        row.put("risk_ratio_high", factor.ratio.high);
    }
    return section;
}

Section alarms_section(const ReportFigures& figures) {
    Section section{"alarms", "", {}, {}};
    for (const ReportAlarm& alarm : figures.alarms) {
        Row row(section.table);
        row.put("alarm", alarm.alarm_id).put("cause", alarm.cause).put("source", text_cell(alarm.source));
        row.put("severity", alarm.severity).put("what", alarm.what).put("count", alarm.count);
        row.put("raised", moment(alarm.raised_utc_ns)).put("state", alarm.state);
        row.put("acknowledged_by", text_cell(alarm.acknowledged_by));
        row.put("acknowledged", moment(alarm.acknowledged_utc_ns));
        row.put("cleared_by", text_cell(alarm.cleared_by)).put("cleared", moment(alarm.cleared_utc_ns));
    }
    return section;
}

Section changes_section(const ReportFigures& figures) {
    Section section{"changes", "", {}, {}};
    for (const ReportChange& change : figures.changes) {
        Row row(section.table);
        row.put("mark", text_cell(change.letter)).put("at", moment(change.at_utc_ns));
        row.put("in_span", change.reported).put("text", change.text);
        row.put("station_part", text_cell(change.station_part)).put("entered_by", text_cell(change.by));
    }
    return section;
}

Section chart_section(const ReportFigures& figures) {
    Section section{"run_chart", "", {}, {}};
    for (const ChartPoint& point : figures.chart.points) {
        Row row(section.table);
        row.put("shift_id", point.shift_id).put("start", moment(point.start_utc_ns));
        row.put("in_span", point.reported).put("vocal", point.vocal.k).put("scored", point.vocal.n);
        row.put("percent", cell_of(point.vocal.percent));
        row.put("limit_low_percent", cell_of(point.low_percent));
        row.put("limit_high_percent", cell_of(point.high_percent)).put("outside", point.outside);
    }
    return section;
}

Section audit_section(const ReportFigures& figures) {
    Section section{"hand_audit", "", {}, {}};
    if (!figures.audit) return section;
    const ReportAudit& audit = *figures.audit;
    std::string auditors;
    for (const std::string& name : audit.auditors) auditors += (auditors.empty() ? "" : "; ") + name;
    Row row(section.table);
    row.put("auditors", text_cell(auditors)).put("compared", audit.agreement.n);
    row.put("vocal_to_both", audit.vocal_to_both).put("vocal_to_person_only", audit.vocal_to_person_only);
    row.put("vocal_to_machine_only", audit.vocal_to_machine_only);
    row.put("silent_to_both", audit.silent_to_both).put("not_compared", audit.not_compared);
    row.put("agreed", audit.agreement.k).put_share("agreement_percent", audit.agreement);
    row.put("kappa", cell_of(audit.kappa)).put("pabak", cell_of(audit.pabak));
    return section;
}

void put_groups(Statement& statement, const ReportFigures& figures) {
    const ByGroups by = figures.by_groups.value_or(ByGroups{});
    const bool has = figures.by_groups.has_value();
    statement.figures.push_back({"grouped_by", has ? Cell(std::string(by.lots ? "lot" : "shift")) : Cell()});
    statement.figures.push_back({"groups", has ? Cell(by.groups) : Cell()});
    statement.figures.push_back({"percent_low_by_groups", has ? Cell(by.percent_low) : Cell()});
    statement.figures.push_back({"percent_high_by_groups", has ? Cell(by.percent_high) : Cell()});
}

} // namespace

Statement report_statement(const ReportFigures& figures) {
    Statement statement;
    statement.figures = {{"report", std::string(name_of(figures.span.kind))},
                         {"name", text_cell(figures.span.name)},
                         {"station", figures.station},
                         {"species", std::string(name_of(figures.species))},
                         {"timezone", figures.timezone},
                         {"start", moment(figures.from_utc_ns)},
                         {"end", moment(figures.to_utc_ns)},
                         {"confidence", kUsualConfidence}};
    put_groups(statement, figures);
    statement.figures.push_back({"run_chart_mean_percent", cell_of(figures.chart.mean_percent)});
    statement.figures.push_back({"factors_looked_at", figures.factors_looked_at});
    statement.sections = {figures_section(figures), phases_section(figures), excluded_section(figures),
                          factors_section(figures), alarms_section(figures), changes_section(figures),
                          audit_section(figures),   chart_section(figures)};
    for (Section& section : statement.sections) {
        // A list without rows is an empty list, not a missing one.
        if (section.table.columns.empty()) section.table.columns = {{"none", "", 0, ShownTo::kMachines}};
    }
    statement.sections.front().lines = cautions_of(figures, english_report_words());
    return statement;
}

} // namespace quietpass
