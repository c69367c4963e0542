#include <string>

#include "daemon/alarms/alarm_words.h"
#include "daemon/factors/trade_list.h"
#include "daemon/reports/report_words.h"

namespace quietpass {

namespace {

CycleWords stun_words() {
    CycleWords words;
    words.phases = {"entry", "body held", "head held", "at the stun"};
    words.times = {"head held to stun", "body held to stun", "entry to stun", "entry to release"};
    words.trade = {std::string(trade_looks_at(Phase::kEntry)), std::string(trade_looks_at(Phase::kBodyHeld)),
                   std::string(trade_looks_at(Phase::kHeld)), std::string(trade_looks_at(Phase::kAtStun))};
    words.stun_heading = "Stun";
    words.covered = "{0} % of animals heard from entry to stun";
    words.calls_after =
        "After the stun: {0}, never in the share. Each may be a sign of returning sensibility: a trained "
        "person checks the animal at once.";
    return words;
}

CycleWords cut_words() {
    CycleWords words = stun_words();
    words.phases = {"entry", "body held", "head held", "at the cut"};
    words.times = {"head held to cut", "body held to cut", "entry to cut", "entry to release"};
    words.trade[2] = "held too long before the cut";
    words.trade[3] = "how the head is held, the cut";
    words.stun_heading = "Cut";
    words.covered = "{0} % of animals heard from entry to cut";
    words.calls_after = "After the cut: {0}, never in the share; reported here, without an alarm.";
    return words;
}

void set_share(ReportWords& words) {
    words.titles = {"Shift report", "Week report", "Month report", "Report of several shifts"};
    words.species = {"cattle", "pigs", "sheep"};
    words.range = "{0} ({1} to {2})";
    words.station = "Station {0} · {1}";
    words.shift_time = "Shift “{0}”, {1} to {2} ({3})";
    words.span_time = "{0}{1}, {2} to {3} ({4})";
    words.no_date = "without a date";
    words.share_caption = "of the animals cried out in the restrainer";
    words.share_counts = "{0} of {1} scored animals.";
    words.share_none = "Passages: {0}; scored: none.";
    words.share_interval = "95 % interval {0} to {1} %.";
    words.by_lots = "Allowing for {2} lots that differ: {0} to {1} %.";
    words.by_shifts = "Allowing for {2} shifts that differ: {0} to {1} %.";
    words.reviewed = "Reviewed by ear, amendment {0}: {1} of {2}, {3} %. The figure above is the machine's.";
    words.limit = "Limit {0} % ({1})";
    words.limit_without_basis = "Limit {0} %";
    words.limits_differ = "The limit was altered within this time: see the table of shifts.";
    words.within = "WITHIN THE LIMIT";
    words.over = "OVER THE LIMIT";
    words.unsure = "Too few animals to be sure: the interval holds the limit.";
    words.unsure_by_lots = "Not sure: the interval that allows for lots holds the limit.";
    words.unsure_by_shifts = "Not sure: the interval that allows for shifts holds the limit.";
    words.sure_within = "The whole interval lies under the limit.";
    words.sure_over = "The whole interval lies over the limit.";
    words.no_percentage = "NO PERCENTAGE";
}

void set_chart(ReportWords& words) {
    words.chart_heading = "Shift by shift: share of animals that cried out, %";
    words.chart_limits =
        "Mean of these shifts {0} %. Shaded: p-chart of it, three standard deviations; too narrow where lots "
        "differ.";
    words.chart_few = "{0} with a percentage: limits of the chart stand from {1} on.";
    words.chart_empty = "No shift with a percentage to draw.";
    words.chart_shift = "shift";
    words.chart_outside = "outside the shaded range";
    words.chart_change = "change at the station";
    words.chart_limit = "limit {0} %";
    words.chart_reported = "of this report";
    words.chart_within = "range without change";
}

void set_blocks(ReportWords& words) {
    words.phases_heading = "Where in the restraint cycle they cried out";
    words.phase_columns = {"phase", "animals", "% (95 % interval)", "calls", "the trade looks first at"};
    words.common_practice = "common practice";
    words.phases_note =
        "What the trade looks at is common practice: where to look, not what the cause is. An animal that "
        "cried out in two phases is in both.";
    words.times_heading = "Times, seconds";
    words.time_columns = {"from … to", "median", "95 % under", "longest", "animals"};
    words.no_times = "No times: their contacts are not wired or did not close.";
    words.line = "{0} animals an hour; the line ran {1}, stood {2}.";
    words.line_without_rate = "The line ran {1}, stood {2}.";
    words.hours = "{0} h {1:02} min";
    words.stunned_once = "Stunned once: {0} of {1} animals, {2} % ({3} to {4}).";
    words.stunned_twice = "Second stun: {0}.";
    words.no_stun_seen = "No stun was seen.";
    words.cut_only = "This station cuts without stunning; there is no stun to count.";
    words.squeals =
        "Squeals at the stun by themselves: {0}, from {1} of {2} scored animals, {3} % ({4} to {5}).";
    words.bangs = "Bangs in the holder: {0} of {1} held animals.";
    words.coverage_heading = "What was heard";
    words.heard = "{0} % of running time heard by all microphones";
    words.contacts = "{0} % of time contacts known";
    words.not_measured = "Not measured";
    words.all_scored = "No passage was left out.";
    words.left_out = "Not scored: {0} of {1} passages: {2}.";
    words.reasons = {{"overrun", "samples lost"},
                     {"unplugged", "microphone unplugged"},
                     {"silent", "microphone dead"},
                     {"clipped", "microphone overdriven"},
                     {"covered_up", "microphone covered up"},
                     {"hum", "hum"},
                     {"wind", "wind or water on the microphone"},
                     {"level_far", "level far from usual"},
                     {"contacts_lost", "contacts did not answer"},
                     {"not_written", "records could not be written"},
                     {"no_animal", "no animal"},
                     {"line_stopped", "line stopped"},
                     {"input_ended", "recording ended"},
                     {"entry_not_seen", "entry not seen"},
                     {"stun_not_seen", "stun not seen"},
                     {"release_not_seen", "release not seen"},
                     {"too_long", "inside too long"},
                     {"not_covered", "not heard throughout"},
                     {"species_not_scored", "sheep are never scored"},
                     {"several_in_line", "several pigs in line"}};
}

void set_factors(ReportWords& words) {
    words.factors_heading = "What goes with the calls";
    words.factor_columns = {"animals with", "cried out", "the rest", "times as often (95 %)"};
    words.factors = {{"hold_time", "held {0}"},
                     {"prods", "prods: {0}"},
                     {"second_stun", "second stun: {0}"},
                     {"bangs_held", "bangs while held: {0}"},
                     {"line_rate", "line rate {0}"},
                     {"hour_of_shift", "hour {0} of the shift"},
                     {"lot", "lot {0}"},
                     {"note", "note: {0}"},
                     {"bang_before", "seconds after a bang"},
                     {"hiss_before", "seconds after a hiss"}};
    words.factors_none = "Of {0} rows looked at, none was clearly more often vocal than the rest.";
    words.factors_nothing = "Nothing known of these animals differed between them.";
    words.factors_note =
        "No cause is named: what goes together may have another reason. {0} rows looked at; by chance alone "
        "about 1 in 40 stands here.";
    words.factors_seconds = "Rows of seconds count seconds from entry to stun in which a call began.";
}

void set_people(ReportWords& words) {
    words.alarms_heading = "Alarms and what was done";
    words.alarms_none = "None.";
    words.seen_times = "seen {0} times";
    words.acknowledged = "acknowledged by {0} after {1}";
    words.not_acknowledged = "acknowledged by nobody";
    words.over_by_itself = "over by itself after {0}";
    words.cleared_by = "cleared by {0} after {1}";
    words.goes_on = "goes on";
    words.sum_acknowledged = "{0} of {1} acknowledged";
    words.sum_by = "by {0}";
    words.sum_within = "half of them within {0}";
    words.sum_open = "{0} not over yet";
    words.alarms_where = "One by one: `quietpass alarms list --all`.";
    for (const AlarmCause cause : kAlarmCauses) words.causes[cause] = headline_of(cause, "");
    words.changes_heading = "Changes at the station";
    words.changes_none = "None entered.";
    words.changes_more = "and {0} earlier: `quietpass change list`";
    words.change_by = "entered by {0}";
    words.audit_heading = "Hand audits of these animals";
    words.audit_none = "None.";
    words.audit_who = "{0} scored {1} of them by ear.";
    words.audit_who_unnamed = "{1} of them were scored by ear.";
    words.audit_agreed = "Person and machine agree on {0} of {1}, {2} % ({3} to {4}).";
    words.audit_counts =
        "Vocal to both {0}, to the person only {1}, to the machine only {2}; silent to both {3}.";
    words.audit_kappa = "Kappa {0}, PABAK {1}.";
    words.audit_left_out = "Not compared: {0}.";
}

void set_frame(ReportWords& words) {
    words.shifts_heading = "The shifts";
    words.shift_columns = {"shift",   "start",  "scored", "vocal", "% (95 % interval)", "limit", "verdict",
                           "heard %", "hold s", "alarms", "signed"};
    words.not_closed = "not closed";
    words.yes = "yes";
    words.no = "no";
    words.short_within = "within";
    words.short_over = "OVER";
    words.short_unsure = "{0}, unsure";
    words.cautions_heading = "Cautions";
    words.caution_ears =
        "The machine misses calls and can take other sounds for calls: read its figures beside hand audits.";
    words.caution_lots =
        "Animals of one lot are not independent: where lots differ, true intervals are wider.";
    words.caution_whose = "Calls of waiting animals can't be told apart here and may be counted.";
    words.caution_killed = "The record was made afterwards from what a killed run had stored ({0}).";
    words.caution_amended = "Amended after a review by ear: shift {0}; the figures here are the machine's.";
    words.caution_open = "{0} of this time not closed and not in the figures.";
    words.caution_measures =
        "quietpass measures; it is no safety device and replaces no trained person, law or veterinarian.";
    words.signature_heading = "Check this paper against the ledger";
    words.signed_by = "Signed {1} with the station's key {0}.";
    words.record_hash = "Record {0}, SHA-256 {1}";
    words.code_note =
        "The code, also in the square, is checked with  quietpass verify --code  at the records: whether "
        "the record stands there unaltered, and with which figures.";
    words.code = "Code: {0}";
    words.span_note =
        "This is the signature of the last signed shift, {0}; its chain holds every record before it. Each "
        "shift has its own: `quietpass report --shift`.";
    words.unsigned_shifts = "{0} not signed.";
    words.not_signed =
        "NOT SIGNED. The ledger has no signed head over this record, so that this paper can't be checked "
        "against it.";
    words.page = "page {0} of {1}";
    words.made_by = "quietpass · station {0} · {1}";
    words.animal = {"animal", "animals"};
    words.call = {"call", "calls"};
    words.shift = {"shift", "shifts"};
}

ReportWords made() {
    ReportWords words;
    set_share(words);
    set_chart(words);
    set_blocks(words);
    set_factors(words);
    set_people(words);
    set_frame(words);
    words.stun = stun_words();
    words.cut = cut_words();
    return words;
}

} // namespace

const ReportWords& english_report_words() {
    static const ReportWords kWords = made();
    return kWords;
}

} // namespace quietpass
