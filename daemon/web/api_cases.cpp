// The routes of cases: the steps of `quietpass case`, by the same functions.
#include "daemon/records/case_rows.h"
#include "daemon/records/clip_rows.h"
#include "daemon/records/utc_text.h"
#include "daemon/review/case_state.h"
#include "daemon/review/case_steps.h"
#include "daemon/web/api_json.h"
#include "daemon/web/api_route.h"

namespace quietpass {

namespace {

constexpr std::size_t kMostItems = 500;

Json case_json(SQLite::Database& database, const CaseFile& file, const CaseState& state) {
    return {{"case_id", file.id},
            {"reference", file.reference},
            {"asked_by", file.asked_by},
            {"from", utc_or_null(file.from_utc_ns)},
            {"to", utc_or_null(file.to_utc_ns)},
            {"note", file.note},
            {"state", state.open ? "open" : "closed"},
            {"passages", state.passages.size()},
            {"calls", state.calls.size()},
            {"clips", state.clips.size()},
            {"held", clips_held_by(database, file.id).size()},
            {"exports", state.exports},
            {"decision", text_or_null(state.decision)},
            {"entered_by", file.by},
            {"opened", utc_text(file.utc_ns)}};
}

Json event_json(const CaseEvent& event) {
    return {{"utc", utc_text(event.utc_ns)},
            {"event", event.event},
            {"text", event.text},
            {"shift_id", or_null(event.shift_id)},
            {"passage_id", or_null(event.passage_id)},
            {"call_id", or_null(event.call_id)},
            {"clip_id", or_null(event.clip_id)},
            {"entered_by", event.by}};
}

Json clips_json(SQLite::Database& database, const CaseState& state) {
    Json list = Json::array();
    ClipFilter filter;
    filter.deleted_too = true;
    for (const std::int64_t clip_id : state.clips) {
        filter.clip_id = clip_id;
        for (const StoredClip& clip : read_clips(database, filter)) {
            list.push_back({{"clip_id", clip_id},
                            {"shift_id", clip.row.shift_id},
                            {"passage_id", or_null(clip.row.passage_id)},
                            {"call_id", or_null(clip.row.call_id)},
                            {"why", name_of(clip.row.why)},
                            {"start", utc_or_null(clip.row.start_utc_ns)},
                            {"seconds", clip.row.end_s - clip.row.start_s},
                            {"held", clip.held},
                            {"deleted", clip.deletion.has_value()}});
        }
    }
    return list;
}

template <typename Pairs>
Json pairs_json(const Pairs& pairs, const char* name) {
    Json list = Json::array();
    for (const auto& [shift_id, id] : pairs) list.push_back({{"shift_id", shift_id}, {name, id}});
    return list;
}

std::string said(const std::string& text, const char* field) {
    if (text.find_first_not_of(" \t\r\n") == std::string::npos)
        throw Refusal{422, "a text is missing", field, "write one"};
    return text;
}

std::vector<std::int64_t> ids_in(const Json& body, const char* field) {
    std::vector<std::int64_t> ids;
    const auto found = body.find(field);
    if (found == body.end() || found->is_null()) return ids;
    if (!found->is_array() || found->size() > kMostItems)
        throw Refusal{422, "expected a list of numbers", field, "give 500 at most"};
    for (const Json& id : *found) ids.push_back(id_in(id, field));
    return ids;
}

std::int64_t shift_in(const Json& body) {
    const auto found = body.find("shift_id");
    return found == body.end() || found->is_null() ? 0 : id_in(*found, "shift_id");
}

CaseItems items_in(const Json& body) {
    CaseItems items{shift_in(body), ids_in(body, "passage_ids"), ids_in(body, "call_ids"),
                    ids_in(body, "clip_ids")};
    if (items.shift_id == 0 && !(items.passages.empty() && items.calls.empty()))
        throw Refusal{422, "passages and calls are numbered by their shift", "shift_id", "give it"};
    return items;
}

std::optional<std::int64_t> moment_in(const Api::Call& call, const char* field) {
    const std::string text = call.text_or(field, 40, "");
    if (text.empty()) return std::nullopt;
    if (const auto utc_ns = utc_from_text(text)) return utc_ns;
    throw Refusal{422, "this is no moment", field, "give UTC as 2026-03-02T13:00:00Z"};
}

RecordSpan span_in(const Api::Call& call) {
    RecordSpan span;
    span.from_utc_ns = moment_in(call, "from");
    span.to_utc_ns = moment_in(call, "to");
    if (span.from_utc_ns && span.to_utc_ns && *span.from_utc_ns >= *span.to_utc_ns)
        throw Refusal{422, "the span is empty", "to", "it must be later than from"};
    return span;
}

} // namespace

template <typename Work>
auto Api::case_step(const Call& call, Work work) {
    try {
        const std::lock_guard held(writing_);
        return work(call.id(0), CaseHand{call.who().name, parts_.clock.utc_ns()});
    } catch (const CaseRefusal& refusal) {
        const int status = refusal.why() == CaseRefusal::Why::kNoSuchCase   ? 404
                           : refusal.why() == CaseRefusal::Why::kWrongState ? 409
                                                                            : 422;
        throw Refusal{status, refusal.what(), call.request.path, "look at /api/v1/cases"};
    }
}

WebAnswer Api::cases(const Call& call) {
    const bool all = call.flag("all").value_or(false);
    return reader_.read([&](SQLite::Database& database) {
        Json list = Json::array();
        const std::vector<CaseFile> files = read_cases(database);
        for (auto file = files.rbegin(); file != files.rend(); ++file) {
            const CaseState state = state_of(*file);
            if (all || state.open) list.push_back(case_json(database, *file, state));
        }
        return json_answer({{"cases", std::move(list)}});
    });
}

WebAnswer Api::one_case(const Call& call) {
    return reader_.read([&](SQLite::Database& database) {
        const auto file = read_case(database, call.id(0));
        if (!file)
            throw Refusal{404, "there is no such case", call.request.path, "give one of /api/v1/cases"};
        const CaseState state = state_of(*file);
        Json json = case_json(database, *file, state);
        json["passage_list"] = pairs_json(state.passages, "passage_id");
        json["call_list"] = pairs_json(state.calls, "call_id");
        json["clip_list"] = clips_json(database, state);
        json["events"] = Json::array();
        for (const CaseEvent& event : file->events) json["events"].push_back(event_json(event));
        return json_answer(json);
    });
}

WebAnswer Api::open_new_case(const Call& call) {
    call.only({"reference", "asked_by", "from", "to", "note"});
    CaseFile file;
    file.reference = said(call.text("reference", kLongestName), "reference");
    file.asked_by = said(call.text("asked_by", kLongestName), "asked_by");
    file.note = call.text_or("note", kLongestText, "");
    const RecordSpan span = span_in(call);
    file.from_utc_ns = span.from_utc_ns;
    file.to_utc_ns = span.to_utc_ns;
    const std::lock_guard held(writing_);
    const auto id = open_case(store_, file, {call.who().name, parts_.clock.utc_ns()});
    return json_answer({{"case_id", id}}, 201);
}

WebAnswer Api::gather(const Call& call) {
    call.only({"shift_id", "passage_ids", "call_ids", "clip_ids", "from", "to", "calling"});
    const CaseItems items = items_in(call.body);
    CaseWish wish;
    wish.span = span_in(call);
    wish.shift_id = items.shift_id;
    wish.passages = items.passages;
    wish.calls = items.calls;
    wish.clips = items.clips;
    const auto calling = call.body.find("calling");
    if (calling != call.body.end() && !calling->is_boolean())
        throw Refusal{422, "expected true or false", "calling", "mend it"};
    wish.calling = calling != call.body.end() && calling->get<bool>();
    const bool named = !(items.passages.empty() && items.calls.empty() && items.clips.empty());
    if (!named && items.shift_id > 0) wish.span.shift_id = items.shift_id;
    if (!named && items.shift_id == 0 && !wish.span.from_utc_ns && !wish.span.to_utc_ns) {
        const auto file =
            reader_.read([&](SQLite::Database& database) { return read_case(database, call.id(0)); });
        // All of a year is no case.
        if (file && !file->from_utc_ns && !file->to_utc_ns) {
            throw Refusal{422, "nothing says what to gather", "shift_id",
                          "give a shift, numbers of it, clips, or from and to"};
        }
    }
    const Gathered gathered = case_step(call, [&](std::int64_t id, const CaseHand& hand) {
        return gather_into_case(store_, id, wish, hand);
    });
    return json_answer(
        {{"passages", gathered.passages}, {"calls", gathered.calls}, {"clips", gathered.clips}});
}

WebAnswer Api::drop(const Call& call) {
    call.only({"shift_id", "passage_ids", "call_ids", "clip_ids", "why"});
    const CaseItems items = items_in(call.body);
    const std::string why = said(call.text("why", kLongestText), "why");
    if (items.passages.empty() && items.calls.empty() && items.clips.empty())
        throw Refusal{422, "nothing to drop", "clip_ids", "give passage_ids, call_ids or clip_ids"};
    const std::size_t dropped = case_step(call, [&](std::int64_t id, const CaseHand& hand) {
        return drop_from_case(store_, id, items, why, hand);
    });
    return json_answer({{"dropped", dropped}});
}

WebAnswer Api::hold_clips(const Call& call) {
    call.only({"held", "clip_ids"});
    const auto held = call.body.find("held");
    if (held == call.body.end() || !held->is_boolean())
        throw Refusal{422, "expected true or false", "held", "give it"};
    const auto clips = ids_in(call.body, "clip_ids");
    const std::size_t changed = case_step(call, [&](std::int64_t id, const CaseHand& hand) {
        return hold_for_case(store_, id, clips, held->get<bool>(), hand);
    });
    return json_answer({{"changed", changed}});
}

WebAnswer Api::step(const Call& call) {
    call.only({"step", "text"});
    const std::string step = call.text("step", 32);
    const bool words = step == "note" || step == "decision";
    if (!words && step != "closed" && step != "reopened") {
        throw Refusal{422, "this step is not known", "step", "give one of note, decision, closed, reopened"};
    }
    const std::string text =
        words ? said(call.text("text", kLongestText), "text") : call.text_or("text", kLongestText, "");
    const std::size_t holds = case_step(call, [&](std::int64_t id, const CaseHand& hand) {
        return add_case_step(store_, id, step, text, hand);
    });
    return json_answer({{"held", holds}}, 201);
}

} // namespace quietpass
