#include "daemon/reports/recorded_shift.h"

#include <nlohmann/json.hpp>

#include "daemon/failure.h"
#include "daemon/shifts/outside_shifts.h"

namespace quietpass {

namespace {

using Json = nlohmann::json;

// Nothing for a key that is missing or null.
template <typename Value>
std::optional<Value> at(const Json& object, const char* key) {
    const auto found = object.find(key);
    if (found == object.end() || found->is_null()) return std::nullopt;
    return found->get<Value>();
}

std::optional<double> percent_at(const Json& object, const char* key) {
    const std::optional<double> share = at<double>(object, key);
    if (!share) return std::nullopt;
    return rounded(100.0 * *share, kPercentDecimals);
}

Verdict verdict_named(const std::string& word) {
    for (const Verdict verdict : {Verdict::kWithinLimit, Verdict::kOverLimit}) {
        if (name_of(verdict) == word) return verdict;
    }
    return Verdict::kNotScored;
}

Durations durations_at(const Json& record, CycleTime time) {
    Durations out;
    const auto found = record.find(std::string(name_of(time)));
    if (found == record.end()) return out;
    out.n = at<std::int64_t>(*found, "n").value_or(0);
    out.median = rounded(at<double>(*found, "median"), kSecondsDecimals);
    out.p95 = rounded(at<double>(*found, "p95"), kSecondsDecimals);
    out.max = rounded(at<double>(*found, "max"), kSecondsDecimals);
    return out;
}

void read_share(const Json& record, PeriodFigures& figures) {
    figures.passages = record.at("passages").get<std::int64_t>();
    CountedShare& vocal = figures.vocal;
    vocal.n = record.at("scored").get<std::int64_t>();
    vocal.k = record.at("vocal").get<std::int64_t>();
    vocal.percent = at<double>(record, "percent");
    vocal.percent_low = at<double>(record, "percent_low");
    vocal.percent_high = at<double>(record, "percent_high");
    figures.not_scored_because = at<std::string>(record, "not_scored_because").value_or("");
    figures.limit_percent = at<double>(record, "limit_percent");
    figures.basis = at<std::string>(record, "basis").value_or("");
    figures.verdict = verdict_named(record.at("verdict").get<std::string>());
    figures.interval_contains_limit = at<bool>(record, "interval_contains_limit");
}

void read_phases(const Json& record, PeriodFigures& figures) {
    constexpr std::array kPhases = {Phase::kEntry, Phase::kBodyHeld, Phase::kHeld, Phase::kAtStun};
    for (std::size_t i = 0; i < kPhases.size(); ++i) {
        const auto phase = at<Json>(record.at("by_phase"), std::string(name_of(kPhases[i])).c_str());
        if (!phase) continue;
        figures.phases.at(i) = {
            counted_share(at<std::int64_t>(*phase, "vocal_passages").value_or(0), figures.vocal.n),
            at<std::int64_t>(*phase, "counted_calls").value_or(0)};
    }
}

void read_stuns(const Json& record, PeriodFigures& figures) {
    // null, not missing, says that the station has `cut`.
    figures.has_cut = record.contains("stunned_once") && record.at("stunned_once").is_null();
    if (const auto once = at<Json>(record, "stunned_once")) {
        figures.stunned_once =
            CountedShare{at<std::int64_t>(*once, "once").value_or(0),
                         at<std::int64_t>(*once, "stunned").value_or(0), at<double>(*once, "percent"),
                         at<double>(*once, "percent_low"), at<double>(*once, "percent_high")};
    }
    figures.stunned_twice = at<std::int64_t>(record, "stunned_twice").value_or(0);
    figures.calls_after_stun = at<std::int64_t>(record, "calls_after_stun").value_or(0);
    figures.calls_at_stun = at<std::int64_t>(record, "calls_at_stun");
}

void read_rest(const Json& record, PeriodFigures& figures) {
    if (const auto excluded = at<std::map<std::string, std::int64_t>>(record, "excluded")) {
        figures.excluded = *excluded;
    }
    if (const auto coverage = at<Json>(record, "coverage")) {
        figures.passages_covered_percent = percent_at(*coverage, "passages");
        figures.time_heard_percent = percent_at(*coverage, "time_heard");
        figures.contacts_known_percent = percent_at(*coverage, "contacts_known");
    }
    for (const CycleTime time : kCycleTimes) {
        figures.times.at(static_cast<std::size_t>(time)) = durations_at(record, time);
    }
    figures.line_rate_per_hour = rounded(at<double>(record, "line_rate_per_hour"), kRateDecimals);
    figures.running_s = at<double>(record, "running_s").value_or(0.0);
    figures.stopped_s = at<double>(record, "stopped_s").value_or(0.0);
    figures.between_shifts = at<std::string>(record, "shift").value_or("") == kOutsideShifts;
    if (const auto bangs = at<Json>(record, "holder_bangs")) {
        figures.holder_bangs = HolderBangs{at<std::int64_t>(*bangs, "held").value_or(0),
                                           at<std::int64_t>(*bangs, "with_bang").value_or(0),
                                           at<std::int64_t>(*bangs, "bangs").value_or(0)};
    }
    if (const auto whose = at<Json>(record, "whose_call")) {
        figures.whose_told_by = at<std::string>(*whose, "told_by").value_or("");
        figures.waiting_calls = at<std::int64_t>(*whose, "waiting_calls");
    }
}

[[noreturn]] void not_readable(const std::string& what, const Json::exception& error) {
    throw Failure(kExitFailure, "report: " + what + " can't be read (" + error.what() +
                                    "); look at the store with `quietpass verify`");
}

} // namespace

RecordedShift recorded_shift(std::int64_t shift_id, const std::string& record_json) {
    try {
        const Json record = Json::parse(record_json);
        RecordedShift shift;
        read_share(record, shift.figures);
        read_phases(record, shift.figures);
        read_stuns(record, shift.figures);
        read_rest(record, shift.figures);
        shift.ended_by = at<std::string>(record, "ended_by").value_or("end");
        shift.versions = at<std::map<std::string, std::string>>(record, "versions").value_or(shift.versions);
        return shift;
    } catch (const Json::exception& error) {
        not_readable("the record of shift " + std::to_string(shift_id), error);
    }
}

ReportAmendment recorded_amendment(std::int64_t shift_id, const std::string& record_json) {
    try {
        const Json amendment = Json::parse(record_json);
        const Json& reviewed = amendment.at("reviewed");
        return {amendment.at("amendment").get<std::int64_t>(),
                {reviewed.at("vocal").get<std::int64_t>(), reviewed.at("scored").get<std::int64_t>(),
                 at<double>(reviewed, "percent"), at<double>(reviewed, "percent_low"),
                 at<double>(reviewed, "percent_high")}};
    } catch (const Json::exception& error) {
        not_readable("the amendment of shift " + std::to_string(shift_id), error);
    }
}

} // namespace quietpass
