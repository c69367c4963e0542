// Every fixed word of a report's page, in one place: another language is another ReportWords. {0}, {1} … are
// what is filled in. A station with `cut` has words of its own. Plain values; any thread.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/alarms/alarm_cause.h"
#include "daemon/reports/report_figures.h"

namespace quietpass {

// A word that bends with the number before it.
struct Counted {
    std::string one;
    std::string many;
};

// What differs where the cut stands in the stun's place.
struct CycleWords {
    std::array<std::string, 4> phases; // entry, body_held, held, at_stun
    std::array<std::string, 4> times;  // by CycleTime
    std::array<std::string, 4> trade;  // what is looked at first, by phase
    std::string stun_heading;
    std::string covered;     // {0} percent
    std::string calls_after; // {0} "3 calls"
};

// The words in a factor's level, as daemon/factors says them in English.
struct LevelWords {
    std::string yes = "yes";
    std::string no = "no";
    std::string any = "any";
    std::string under = "under ";     // before a number
    std::string to = " to ";          // between two
    std::string or_more = " or more"; // behind one
};

struct ReportWords {
    std::array<std::string, 4> titles;  // by SpanKind
    std::array<std::string, 3> species; // by Species
    std::string range;                  // {0} value, {1} low, {2} high
    std::string station;                // {0} name, {1} species
    std::string shift_time;             // {0} shift, {1} from, {2} to, {3} time zone
    std::string span_time;              // {0} name, {1} shifts, {2} from, {3} to, {4} time zone
    std::string no_date;

    std::string share_caption;
    std::string share_counts;   // {0} vocal, {1} scored
    std::string share_none;     // {0} passages
    std::string share_interval; // {0} low, {1} high
    std::string by_lots;        // {0} low, {1} high, {2} groups
    std::string by_shifts;
    std::string reviewed; // {0} amendment, {1} vocal, {2} scored, {3} share with its interval
    std::string limit;    // {0} limit, {1} basis
    std::string limit_without_basis;
    std::string limits_differ;
    std::string within;
    std::string over;
    std::string unsure; // after a verdict, as the four below
    std::string unsure_by_lots;
    std::string unsure_by_shifts;
    std::string sure_within;
    std::string sure_over;
    std::string no_percentage;

    std::string chart_heading;
    std::string chart_limits; // {0} mean
    std::string chart_few;    // {0} shifts, {1} from how many on
    std::string chart_empty;
    std::string chart_shift;
    std::string chart_outside;
    std::string chart_change;
    std::string chart_limit; // {0}
    std::string chart_reported;
    std::string chart_within; // between the limits

    std::string phases_heading;
    std::vector<std::string> phase_columns;
    std::string common_practice;
    std::string phases_note;

    std::string times_heading;
    std::vector<std::string> time_columns;
    std::string no_times;
    std::string line; // {0} rate, {1} ran, {2} stopped
    std::string line_without_rate;
    std::string hours; // {0} h, {1} min

    std::string stunned_once;  // {0} once, {1} stunned, {2} percent, {3} low, {4} high
    std::string stunned_twice; // {0} animals
    std::string no_stun_seen;
    std::string cut_only;
    std::string squeals; // {0} calls, {1} animals, {2} scored, {3} percent, {4} low, {5} high
    std::string bangs;   // {0} with, {1} held

    std::string factors_heading;
    std::vector<std::string> factor_columns;
    std::map<std::string, std::string> factors; // by factor; {0} level
    std::string factors_none;                   // {0} looked at
    std::string factors_nothing;
    std::string factors_note; // {0} looked at
    std::string factors_seconds;
    LevelWords levels;

    std::string coverage_heading;
    std::string heard;
    std::string contacts;
    std::string not_measured;
    std::string all_scored;
    std::string left_out; // {0} left out, {1} passages, {2} reasons
    std::map<std::string, std::string> reasons;

    std::string alarms_heading;
    std::string alarms_none;
    std::string seen_times;   // {0}
    std::string acknowledged; // {0} by, {1} after
    std::string not_acknowledged;
    std::string over_by_itself; // {0} after
    std::string cleared_by;     // {0} by, {1} after
    std::string goes_on;
    std::string sum_acknowledged; // {0} acknowledged, {1} alarms
    std::string sum_by;           // {0} names
    std::string sum_within;       // {0} a span
    std::string sum_open;         // {0} still standing
    std::string alarms_where;
    std::map<AlarmCause, std::string> causes;

    std::string changes_heading;
    std::string changes_none;
    std::string changes_more; // {0}
    std::string change_by;    // {0}

    std::string audit_heading;
    std::string audit_none;
    std::string audit_who; // {0} auditors, {1} animals
    std::string audit_who_unnamed;
    std::string audit_agreed;   // {0} agreed, {1} compared, {2} percent, {3} low, {4} high
    std::string audit_counts;   // {0} both, {1} person only, {2} machine only, {3} neither
    std::string audit_kappa;    // {0}, {1}
    std::string audit_left_out; // {0}

    std::string shifts_heading;
    std::vector<std::string> shift_columns;
    std::string not_closed;
    std::string yes;
    std::string no;
    std::string short_within;
    std::string short_over;
    std::string short_unsure;

    std::string cautions_heading;
    std::string caution_ears;
    std::string caution_lots;
    std::string caution_whose;
    std::string caution_killed;  // {0} shifts
    std::string caution_amended; // {0} shifts
    std::string caution_open;    // {0} shifts
    std::string caution_measures;

    std::string signature_heading;
    std::string signed_by;   // {0} key id, {1} moment
    std::string record_hash; // {0} seq, {1} hash
    std::string code_note;
    std::string code;
    std::string span_note;       // {0} shift
    std::string unsigned_shifts; // {0}
    std::string not_signed;

    std::string page;    // {0} of {1}
    std::string made_by; // {0} station, {1} what

    Counted animal;
    Counted call;
    Counted shift;
    CycleWords stun;
    CycleWords cut;

    const CycleWords& cycle(bool has_cut) const { return has_cut ? cut : stun; }
    const std::string& trade(Phase phase, bool has_cut) const {
        return cycle(has_cut).trade.at(static_cast<std::size_t>(phase));
    }
};

enum class ReportLanguage { kEnglish, kSpanish };

std::string_view name_of(ReportLanguage language); // "en", "es"
std::optional<ReportLanguage> report_language_named(std::string_view name);

const ReportWords& english_report_words();
const ReportWords& spanish_report_words();
const ReportWords& report_words(ReportLanguage language);

// A level of a factor in these words. What people entered (a lot's name, a note) stays as it is.
std::string level_text(const std::string& factor, const std::string& level, const ReportWords& words);

// "1 animal", "2 animals"
std::string counted(std::int64_t number, const Counted& word);

// What a reader must know of these figures, a sentence each.
std::vector<std::string> cautions_of(const ReportFigures& figures, const ReportWords& words);

} // namespace quietpass
