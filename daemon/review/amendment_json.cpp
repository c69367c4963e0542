#include "daemon/review/amendment_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "daemon/failure.h"
#include "daemon/records/sha256.h"
#include "daemon/records/utc_text.h"
#include "daemon/review/findings_in_force.h"
#include "daemon/review/reviewed_figures.h"

namespace quietpass {

namespace {

using Json = nlohmann::ordered_json;

// As in shift.json.
Json percent(double share) {
    return std::round(share * 10000.0) / 100.0 + 0.0;
}

Json share_of(const ReviewedShare& share, std::int64_t scored) {
    return {{"scored", scored},
            {"vocal", share.vocal},
            {"percent", share.share ? percent(*share.share) : Json(nullptr)},
            {"percent_low", share.interval ? percent(share.interval->low) : Json(nullptr)},
            {"percent_high", share.interval ? percent(share.interval->high) : Json(nullptr)}};
}

Json closed_record(const StoredShift& shift) {
    Json record = Json::parse(shift.record_json, nullptr, false);
    if (record.is_object()) return record;
    throw Failure(kExitFailure, "shift " + std::to_string(shift.shift_id) +
                                    ": its record can't be read; check the store with `quietpass verify`");
}

Json of_record(const Json& record, const char* key) {
    return record.contains(key) ? record.at(key) : Json(nullptr);
}

// The limit's word for the reviewed share, by the rule of the record: at the limit is within.
Json verdict_of(const ReviewedShare& share, const Json& limit_percent) {
    if (!share.share || !limit_percent.is_number()) return "not_scored";
    return 100.0 * *share.share > limit_percent.get<double>() ? "over_limit" : "within_limit";
}

Json finding_row(const Finding& finding, bool disputed) {
    return {{"finding_id", finding.id},
            {"call_id", finding.call_id},
            {"verdict", name_of(finding.verdict)},
            {"just_before", finding.just_before ? Json(name_of(*finding.just_before)) : Json(nullptr)},
            {"note", finding.note},
            {"entered_by", finding.by},
            {"utc", utc_text(finding.utc_ns)},
            {"disputed", disputed}};
}

} // namespace

std::string amendment_json(const ShiftRows& rows, const std::vector<Finding>& findings,
                           const Amendment& amendment) {
    const StoredShift& shift = rows.shift;
    const Json record = closed_record(shift);
    const auto reviews = reviews_of(findings);
    const ReviewedFigures figures = reviewed_figures(rows.passages, rows.calls, shift.shift_id, reviews);

    Json out;
    out["amendment"] = amendment.number;
    out["shift_id"] = shift.shift_id;
    out["station"] = shift.station;
    out["shift"] = shift.name;
    out["start"] = of_record(record, "start");
    out["end"] = of_record(record, "end");
    out["made"] = utc_text(amendment.utc_ns);
    out["entered_by"] = amendment.by;
    out["shift_record_sha256"] = sha256_hex(shift.record_json);
    // The record's own figures, byte for byte, not counted anew.
    for (const char* key : {"scored", "vocal", "percent", "percent_low", "percent_high"}) {
        out["machine"][key] = of_record(record, key);
    }
    out["machine"]["verdict"] = of_record(record, "verdict");
    out["reviewed"] = share_of(figures.reviewed, figures.scored);
    out["limit_percent"] = of_record(record, "limit_percent");
    out["basis"] = of_record(record, "basis");
    out["reviewed"]["verdict"] = verdict_of(figures.reviewed, out["limit_percent"]);
    out["counted_calls"] = figures.counted_calls;
    out["judged"] = figures.judged;
    out["confirmed"] = figures.confirmed;
    out["turned_down"] = figures.turned_down;
    out["cannot_tell"] = figures.cannot_tell;
    out["disputed"] = figures.disputed;
    out["turned_silent"] = figures.turned_silent;
    out["findings"] = Json::array();
    for (const auto& [key, review] : reviews) {
        if (key.first == shift.shift_id) {
            out["findings"].push_back(finding_row(review.latest, review.disputed));
        }
    }
    out["note"] =
        "Findings are of calls that the machine heard, so they can only lower the share; what it missed is "
        "shown by hand audits and by clips of quiet passages.";
    return out.dump(2) + "\n";
}

} // namespace quietpass
