#include "daemon/records/shift_json.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>

#include "daemon/records/utc_text.h"

namespace quietpass {
namespace {

using Json = nlohmann::ordered_json;

constexpr int kPercentDecimals = 2;
constexpr int kShareDecimals = 4;
constexpr int kSecondsDecimals = 3;
constexpr int kRateDecimals = 1;
constexpr int kLevelDecimals = 2;

// JSON has no NaN: what can't be measured is null.
Json rounded(std::optional<double> value, int decimals) {
    if (!value || !std::isfinite(*value)) return nullptr;
    const double scale = std::pow(10.0, decimals);
    return std::round(*value * scale) / scale + 0.0; // + 0.0: minus zero becomes zero
}

template <typename Value>
Json or_null(const std::optional<Value>& value) {
    return value ? Json(*value) : Json(nullptr);
}

Json moment(std::optional<std::int64_t> utc_ns) {
    return utc_ns ? Json(utc_text(*utc_ns)) : Json(nullptr);
}

Json text_or_null(const std::string& text) {
    return text.empty() ? Json(nullptr) : Json(text);
}

Json by_phase_of(const ShiftRecord& record) {
    Json out = Json::object();
    for (const Phase phase : {Phase::kEntry, Phase::kBodyHeld, Phase::kHeld, Phase::kAtStun}) {
        out[std::string(name_of(phase))] = {{"vocal_passages", record.in(phase).vocal_passages},
                                            {"counted_calls", record.in(phase).counted_calls}};
    }
    return out;
}

Json durations_of(const Durations& durations) {
    return {{"median", rounded(durations.median, kSecondsDecimals)},
            {"p95", rounded(durations.p95, kSecondsDecimals)},
            {"max", rounded(durations.max, kSecondsDecimals)},
            {"n", durations.n}};
}

Json stunned_once_of(const std::optional<StunnedOnce>& once) {
    if (!once) return nullptr;
    return {{"stunned", once->stunned},
            {"once", once->once},
            {"percent", rounded(once->percent, kPercentDecimals)},
            {"percent_low", rounded(once->percent_low, kPercentDecimals)},
            {"percent_high", rounded(once->percent_high, kPercentDecimals)}};
}

Json squeals_at_stun_of(const std::optional<SquealsAtStun>& squeals) {
    if (!squeals) return nullptr;
    return {{"stunned", squeals->stunned},
            {"squealed", squeals->squealed},
            {"percent", rounded(squeals->percent, kPercentDecimals)},
            {"percent_low", rounded(squeals->percent_low, kPercentDecimals)},
            {"percent_high", rounded(squeals->percent_high, kPercentDecimals)},
            {"limit_percent", squeals->limit_percent},
            {"basis", squeals->basis},
            {"verdict", std::string(name_of(squeals->verdict))}};
}

Json coverage_of(const CoverageShares& coverage) {
    return {{"passages", rounded(coverage.passages, kShareDecimals)},
            {"time_heard", rounded(coverage.time_heard, kShareDecimals)},
            {"contacts_known", rounded(coverage.contacts_known, kShareDecimals)}};
}

Json microphones_of(const ShiftRecord& record) {
    Json out = Json::array();
    for (const MicrophoneRecord& microphone : record.microphones) {
        Json one;
        one["name"] = microphone.name;
        const LevelReference reference = microphone.reference.value_or(LevelReference{});
        one["levels"] = microphone.reference ? "dB SPL" : "dB re full scale";
        one["sensitivity_db_spl_fs"] = nullptr;
        if (microphone.reference) {
            one["sensitivity_db_spl_fs"] = rounded(reference.sensitivity_db_spl_fs, kLevelDecimals);
        }
        one["calibrated_at"] = text_or_null(reference.calibrated_at);
        one["calibrator_serial"] = text_or_null(reference.calibrator_serial);
        one["calibrator_db"] = rounded(reference.calibrator_db, kLevelDecimals);
        one["drift_db"] = rounded(reference.drift_db, kLevelDecimals);
        one["not_heard_s"] = Json::object();
        for (const auto& [cause, lost_s] : microphone.not_heard_s) {
            one["not_heard_s"][cause] = rounded(lost_s, kSecondsDecimals);
        }
        out.push_back(std::move(one));
    }
    return out;
}

} // namespace

std::string shift_json(const ShiftRecord& record) {
    Json out;
    out["station"] = record.station;
    out["species"] = std::string(name_of(record.species));
    out["shift"] = record.shift;
    out["timezone"] = record.timezone;
    out["start"] = moment(record.start_utc_ns);
    out["end"] = moment(record.end_utc_ns);
    out["start_s"] = rounded(record.start_s, kSecondsDecimals);
    out["end_s"] = rounded(record.end_s, kSecondsDecimals);
    out["ended_by"] = record.ended_by;
    out["passages"] = record.passages;
    out["scored"] = record.scored;
    out["vocal"] = record.vocal;
    out["percent"] = rounded(record.percent, kPercentDecimals);
    out["percent_low"] = rounded(record.percent_low, kPercentDecimals);
    out["percent_high"] = rounded(record.percent_high, kPercentDecimals);
    out["confidence"] = record.confidence;
    out["not_scored_because"] = text_or_null(record.not_scored_because);
    out["excluded"] = Json(record.excluded);
    out["by_phase"] = by_phase_of(record);
    out["running_s"] = rounded(record.running_s, kSecondsDecimals);
    out["stopped_s"] = rounded(record.stopped_s, kSecondsDecimals);
    out["line_rate_per_hour"] = rounded(record.line_rate_per_hour, kRateDecimals);
    out["held_for_s"] = durations_of(record.held_for_s);
    out["body_held_for_s"] = durations_of(record.body_held_for_s);
    out["to_stun_s"] = durations_of(record.to_stun_s);
    out["restrained_for_s"] = durations_of(record.restrained_for_s);
    out["stunned_twice"] = record.stunned_twice;
    out["stunned_once"] = stunned_once_of(record.stunned_once);
    out["holder_bangs"] = {{"held", record.holder_bangs.held},
                           {"with_bang", record.holder_bangs.with_bang},
                           {"bangs", record.holder_bangs.bangs}};
    out["calls_after_stun"] = record.calls_after_stun;
    out["calls_at_stun"] = or_null(record.calls_at_stun);
    out["squeals_at_stun"] = squeals_at_stun_of(record.squeals_at_stun);
    out["whose_call"] = {{"told_by", record.whose_told_by},
                         {"waiting_calls", or_null(record.waiting_calls)},
                         {"note", text_or_null(record.whose_note)}};
    out["limit_percent"] = record.limit_percent;
    out["basis"] = record.basis;
    out["verdict"] = std::string(name_of(record.verdict));
    out["interval_contains_limit"] = or_null(record.interval_contains_limit);
    out["coverage"] = coverage_of(record.coverage);
    out["microphones"] = microphones_of(record);
    out["versions"] = Json(record.versions);
    out["hashes"] = Json(record.hashes);
    // A name that is no UTF-8 must not cost the shift its record.
    return out.dump(2, ' ', false, Json::error_handler_t::replace) + '\n';
}

} // namespace quietpass
