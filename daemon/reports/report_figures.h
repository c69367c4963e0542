// All that a report says, gathered once; the PDF, the CSV and the JSON are written from this value and from
// nothing else. Plain values, rounded as PeriodFigures are. UTC in nanoseconds since 1970.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "classifiers/species.h"
#include "daemon/ledger/signed_head.h"
#include "daemon/reports/period_figures.h"
#include "daemon/reports/report_span.h"

namespace quietpass {

// What findings that came after the shift made of it. The machine's figure stays beside it.
struct ReportAmendment {
    std::int64_t number = 0;
    CountedShare reviewed;
};

struct ReportShift {
    std::int64_t shift_id = 0;
    std::string name;
    std::optional<std::int64_t> start_utc_ns; // none: files without a date
    std::optional<std::int64_t> end_utc_ns;
    bool closed = false; // open ones have no figures yet
    std::string ended_by;
    PeriodFigures figures;
    std::int64_t alarms = 0;                  // raised in it, or standing
    std::optional<SignedHead> signature;      // over its record
    std::optional<ReportAmendment> amendment; // the last
};

// The share once more, allowing for animals that are not independent.
struct ByGroups {
    bool lots = false; // groups are lots that people named; else shifts
    std::int64_t groups = 0;
    double percent_low = 0.0;
    double percent_high = 0.0;
};

struct ChartPoint {
    std::int64_t shift_id = 0;
    std::optional<std::int64_t> start_utc_ns;
    std::optional<std::int64_t> end_utc_ns;
    bool reported = false; // of the report's own shifts
    CountedShare vocal;
    std::optional<double> low_percent; // where a shift of its size lies while nothing changes
    std::optional<double> high_percent;
    bool outside = false;
};

struct ReportChart {
    std::vector<ChartPoint> points; // shifts with a percentage, oldest first
    std::optional<double> mean_percent;
};

struct ReportChange {
    std::string letter; // its mark in the chart; empty: the chart doesn't reach it
    std::int64_t at_utc_ns = 0;
    bool reported = false; // within the report's own shifts
    std::string text;
    std::string station_part;
    std::string by;
};

struct RatioFigures {
    double value = 1.0; // may be infinite
    double low = 0.0;
    double high = 0.0;
};

// What went with calls, of daemon/factors/factors.h.
struct FactorFigures {
    std::string factor;
    std::string level;
    std::string unit; // passages, seconds
    CountedShare group;
    std::int64_t rest_k = 0;
    std::int64_t rest_n = 0;
    RatioFigures ratio;
};

struct ReportAlarm {
    std::int64_t alarm_id = 0;
    std::string cause;
    std::string source;
    std::string severity;
    std::string what;       // as last seen
    std::int64_t count = 0; // sightings
    std::int64_t raised_utc_ns = 0;
    std::string state;           // raised, acknowledged, cleared
    std::string acknowledged_by; // empty: nobody
    std::optional<std::int64_t> acknowledged_utc_ns;
    std::string cleared_by; // empty: it ended by itself, or it goes on
    std::optional<std::int64_t> cleared_utc_ns;
};

// What a person scored by ear against the machine, the same passages.
struct ReportAudit {
    std::vector<std::string> auditors;
    std::int64_t vocal_to_both = 0;
    std::int64_t vocal_to_person_only = 0;
    std::int64_t vocal_to_machine_only = 0;
    std::int64_t silent_to_both = 0;
    std::int64_t not_compared = 0;
    CountedShare agreement;
    std::optional<double> kappa;
    std::optional<double> pabak;
};

struct ReportFigures {
    std::string station;
    Species species = Species::kCattle;
    std::string timezone;
    ReportSpan span;
    std::optional<std::int64_t> from_utc_ns; // of the first shift
    std::optional<std::int64_t> to_utc_ns;   // of the last
    std::vector<ReportShift> shifts;         // oldest first
    PeriodFigures all;                       // the one shift's record, or the pool of the closed shifts
    std::optional<ByGroups> by_groups;
    ReportChart chart;
    std::vector<ReportChange> changes;
    std::vector<FactorFigures> goes_with_calls; // the clearest first, few
    std::int64_t factors_looked_at = 0;
    std::vector<ReportAlarm> alarms; // in order of raising
    std::optional<ReportAudit> audit;
    std::optional<SignedHead> signature; // of the last signed shift
    std::optional<std::int64_t> signed_shift_id;

    bool one_shift() const { return span.kind == SpanKind::kShift; }
};

} // namespace quietpass
