#include "daemon/web/audit_json.h"

#include <algorithm>

#include "daemon/audits/open_audit.h"
#include "daemon/records/audit_event_rows.h"
#include "daemon/records/people_rows.h"
#include "daemon/records/utc_text.h"
#include "daemon/web/api_json.h"

namespace quietpass {

namespace {

using Json = nlohmann::ordered_json;

std::string auditors_of(const std::vector<HandAuditRow>& rows) {
    std::vector<std::string> names;
    std::string out;
    for (const HandAuditRow& row : rows) {
        if (std::find(names.begin(), names.end(), row.auditor) != names.end()) continue;
        names.push_back(row.auditor);
        out += (names.size() == 1 ? "" : ";") + row.auditor;
    }
    return out;
}

} // namespace

std::optional<Json> audit_json(SQLite::Database& database, std::int64_t id) {
    const auto open = open_audit(read_audit_events(database, id));
    const auto done = read_hand_audit(database, id);
    if (!done && (!open || open->given_up || is_handed_in(database, id))) return std::nullopt;
    const std::vector<HandAuditRow> rows = done ? done->rows : open->rows();
    const auto vocal =
        std::count_if(rows.begin(), rows.end(), [](const HandAuditRow& row) { return row.vocal; });
    return Json{{"audit_id", id},
                {"state", done ? "finished" : "open"},
                {"auditors", done ? auditors_of(rows) : open->auditor},
                {"entered_by", open ? Json(open->by) : Json()},
                {"started", open ? Json(utc_text(open->started_utc_ns)) : Json()},
                {"finished", done ? Json(utc_text(done->added_utc_ns)) : Json()},
                {"animals", rows.size()},
                {"vocal", vocal},
                {"file", done ? Json(done->file) : Json()},
                {"note", open ? open->note : ""}};
}

Json audit_scores_json(SQLite::Database& database, std::int64_t id) {
    Json scores = Json::array();
    if (const auto open = open_audit(read_audit_events(database, id))) {
        for (const AuditEvent& score : open->scores) scores.push_back(score_json(score));
        return scores;
    }
    const auto done = read_hand_audit(database, id);
    if (!done) return scores;
    for (const HandAuditRow& row : done->rows) {
        AuditEvent score;
        score.shift_id = row.shift_id;
        score.passage_id = row.passage_id;
        score.at_utc_ns = row.at_utc_ns;
        score.vocal = row.vocal;
        score.note = row.note;
        Json json = score_json(score);
        json["score_id"] = nullptr;
        json["scored"] = nullptr;
        scores.push_back(std::move(json));
    }
    return scores;
}

Json score_json(const AuditEvent& score) {
    return {{"score_id", score.id},
            {"vocal", score.vocal},
            {"shift_id", or_null(score.shift_id)},
            {"passage_id", or_null(score.passage_id)},
            {"at", utc_or_null(score.at_utc_ns)},
            {"note", score.note},
            {"scored", utc_text(score.utc_ns)}};
}

} // namespace quietpass
