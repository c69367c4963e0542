// The routes that look into the records.
#include <cmath>

#include "daemon/alarms/alarm_listing.h"
#include "daemon/alarms/stored_alarm.h"
#include "daemon/records/alarm_event_rows.h"
#include "daemon/records/clip_rows.h"
#include "daemon/records/finding_rows.h"
#include "daemon/records/row_reader.h"
#include "daemon/records/utc_text.h"
#include "daemon/review/findings_in_force.h"
#include "daemon/web/api_json.h"
#include "daemon/web/api_route.h"
#include "daemon/web/call_rows.h"

namespace quietpass {

namespace {

// How much sound and how many edges are drawn on either side of a call.
constexpr double kAroundCall_s = 10.0;

Json call_json(const ListedCall& call) {
    return {{"shift_id", call.shift_id},
            {"call_id", call.call_id},
            {"microphone", call.microphone},
            {"start", utc_or_null(call.start_utc_ns)},
            {"start_s", call.start_s},
            {"end_s", call.end_s},
            {"species", call.species},
            {"call", call.kind},
            {"score", call.score},
            {"level_db", call.level_db},
            {"f0_hz", call.f0_hz > 0.0 ? Json(call.f0_hz) : Json()},
            {"passage_id", or_null(call.passage_id)},
            {"phase", text_or_null(call.phase)},
            {"counted", call.counted},
            {"reason", call.reason},
            {"clip_id", or_null(call.clip_id)}};
}

Json finding_json(const Finding& finding) {
    return {{"finding_id", finding.id},
            {"verdict", name_of(finding.verdict)},
            {"just_before", finding.just_before ? Json(name_of(*finding.just_before)) : Json()},
            {"note", finding.note},
            {"entered_by", finding.by},
            {"utc", utc_text(finding.utc_ns)}};
}

Json shift_json(const StoredShift& shift) {
    const Json record = shift.record_json.empty() ? Json::object() : Json::parse(shift.record_json);
    const auto figure = [&record](const char* key) { return record.value(key, Json()); };
    return {{"shift_id", shift.shift_id},
            {"station", shift.station},
            {"shift", shift.name},
            {"state", shift.end_s ? "closed" : "open"},
            {"start", utc_or_null(shift.start_utc_ns)},
            {"end", utc_or_null(shift.end_s ? shift.end_utc_ns : shift.heard_until_utc_ns)},
            {"passages", figure("passages")},
            {"scored", figure("scored")},
            {"vocal", figure("vocal")},
            {"percent", figure("percent")},
            {"percent_low", figure("percent_low")},
            {"percent_high", figure("percent_high")},
            {"limit_percent", figure("limit_percent")},
            {"verdict", figure("verdict")},
            {"coverage", figure("coverage")}};
}

std::vector<std::string> terms_of(const std::string& text) {
    std::vector<std::string> terms;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find("; ", at), text.size());
        terms.push_back(text.substr(at, end - at));
        at = end + 2;
    }
    return terms;
}

Json passage_json(std::int64_t passage_id, const CallPassage& passage) {
    return {{"passage_id", passage_id},
            {"entered_s", passage.entered_s},
            {"body_held_s", or_null(passage.body_held_s)},
            {"held_s", or_null(passage.held_s)},
            {"stunned_s", or_null(passage.stunned_s)},
            {"released_s", or_null(passage.released_s)},
            {"end_s", passage.end_s},
            {"vocal", passage.vocal},
            {"covered", passage.covered},
            {"excluded", passage.excluded}};
}

Json clip_json(const ClipRow& clip) {
    return {{"clip_id", clip.clip_id}, {"start_s", clip.start_s},
            {"end_s", clip.end_s},     {"microphones", clip.microphones},
            {"rate_hz", clip.rate_hz}, {"bytes", clip.bytes},
            {"sha256", clip.sha256}};
}

Refusal no_shift(std::int64_t shift_id) {
    return {404, "there is no such shift", std::to_string(shift_id), "give one of /api/v1/shifts"};
}

} // namespace

WebAnswer Api::live(const Call&) {
    WebAnswer answer;
    answer.type = "application/json";
    answer.body = parts_.board.snapshot();
    return answer;
}

WebAnswer Api::alarms(const Call& call) {
    const int most = static_cast<int>(call.number("most", 1, 1000).value_or(200));
    const auto before = call.number("before", 1, INT64_MAX);
    const bool all = call.flag("all").value_or(false);
    std::vector<StoredAlarm> alarms = alarms_in(reader_.read([&](SQLite::Database& database) {
        return all ? read_newest_alarms(database, most, before) : read_open_alarms(database);
    }));
    if (!all) std::erase_if(alarms, [](const StoredAlarm& one) { return !one.open(); });
    return json_answer({{"alarms", Json::parse(alarm_json(alarms, false))}});
}

WebAnswer Api::shifts(const Call& call) {
    const std::int64_t most = call.number("most", 1, 1000).value_or(100);
    const auto before = call.number("before", 1, INT64_MAX);
    const auto stored =
        reader_.read([&](SQLite::Database& database) { return read_newest_shifts(database, most, before); });
    Json list = Json::array();
    for (auto shift = stored.rbegin(); shift != stored.rend(); ++shift) list.push_back(shift_json(*shift));
    return json_answer({{"shifts", std::move(list)}});
}

WebAnswer Api::shift(const Call& call) {
    const std::int64_t id = call.id(0);
    return reader_.read([&](SQLite::Database& database) {
        const auto shift = read_stored_shift(database, id);
        if (!shift) throw no_shift(id);
        Json json = shift_json(*shift);
        json["record"] = shift->record_json.empty() ? Json() : Json::parse(shift->record_json);
        json["amendments"] = Json::array();
        for (const Amendment& amendment : read_amendments(database, id))
            json["amendments"].push_back(Json::parse(amendment.record_json));
        return json_answer(json);
    });
}

WebAnswer Api::calls(const Call& call) {
    CallFilter filter;
    filter.shift_id = call.number("shift", 1, INT64_MAX);
    filter.passage_id = call.number("passage", 1, INT64_MAX);
    filter.counted = call.flag("counted");
    filter.judged = call.flag("judged");
    filter.kind = call.word("kind", {"moo", "bellow", "squeal", "grunt"});
    filter.phase = call.word("phase", {"entry", "body_held", "held", "at_stun", "after_stun"});
    filter.from_utc_ns = call.moment("from");
    filter.to_utc_ns = call.moment("to");
    filter.before_shift = call.number("before_shift", 1, INT64_MAX);
    filter.before_call = call.number("before_call", 1, INT64_MAX);
    if (filter.before_shift.has_value() != filter.before_call.has_value())
        throw Refusal{400, "one goes with the other", "before_shift",
                      "give before_shift and before_call both"};
    filter.most = static_cast<int>(call.number("most", 1, 500).value_or(100));
    return reader_.read([&](SQLite::Database& database) {
        std::map<std::int64_t, std::map<CallKey, CallReview>> reviews; // by shift
        Json list = Json::array();
        for (const ListedCall& one : read_calls_listed(database, filter)) {
            const auto [of_shift, added] = reviews.try_emplace(one.shift_id);
            if (added) of_shift->second = reviews_of(read_findings(database, one.shift_id));
            Json json = call_json(one);
            const auto review = of_shift->second.find({one.shift_id, one.call_id});
            json["verdict"] =
                review == of_shift->second.end() ? Json() : Json(name_of(review->second.latest.verdict));
            list.push_back(std::move(json));
        }
        return json_answer({{"calls", std::move(list)}});
    });
}

WebAnswer Api::call(const Call& call) {
    const std::int64_t shift_id = call.id(0);
    const std::int64_t call_id = call.id(1);
    return reader_.read([&](SQLite::Database& database) {
        const auto found = read_call(database, shift_id, call_id);
        if (!found)
            throw Refusal{404, "there is no such call", call.request.path, "give one of /api/v1/calls"};
        Json json = call_json(*found);
        json["terms"] = terms_of(found->terms);
        double from_s = found->start_s - kAroundCall_s;
        double to_s = found->end_s + kAroundCall_s;
        json["passage"] = nullptr;
        if (found->passage_id) {
            if (const auto passage = read_call_passage(database, shift_id, *found->passage_id)) {
                json["passage"] = passage_json(*found->passage_id, *passage);
                from_s = std::min(from_s, passage->entered_s);
                to_s = std::max(to_s, passage->end_s);
            }
        }
        json["edges"] = Json::array();
        for (const CallEdge& edge : read_call_edges(database, shift_id, from_s, to_s))
            json["edges"].push_back({{"time_s", edge.time_s}, {"role", edge.role}, {"closed", edge.closed}});
        json["clip"] = nullptr;
        if (found->clip_id) {
            ClipFilter filter;
            filter.clip_id = found->clip_id;
            for (const StoredClip& clip : read_clips(database, filter)) json["clip"] = clip_json(clip.row);
        }
        json["findings"] = Json::array();
        for (const Finding& finding : findings_in_force(read_findings(database, shift_id))) {
            if (finding.call_id == call_id) json["findings"].push_back(finding_json(finding));
        }
        return json_answer(json);
    });
}

} // namespace quietpass
