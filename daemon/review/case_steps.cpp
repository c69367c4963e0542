#include "daemon/review/case_steps.h"

#include <algorithm>
#include <set>

#include "daemon/records/case_rows.h"
#include "daemon/records/clip_rows.h"
#include "daemon/review/case_state.h"

namespace quietpass {

namespace {

std::string named(std::int64_t case_id) {
    return "case " + std::to_string(case_id);
}

CaseFile case_of(SQLite::Database& database, std::int64_t case_id) {
    auto file = read_case(database, case_id);
    if (file) return std::move(*file);
    throw CaseRefusal(CaseRefusal::Why::kNoSuchCase, named(case_id) + ": no such case; see the list of them");
}

CaseFile open_case_of(SQLite::Database& database, std::int64_t case_id) {
    CaseFile file = case_of(database, case_id);
    if (state_of(file).open) return file;
    throw CaseRefusal(CaseRefusal::Why::kWrongState, named(case_id) + ": it is closed; reopen it first");
}

CaseEvent event_of(std::int64_t case_id, const std::string& event, const std::string& text,
                   const CaseHand& hand) {
    CaseEvent made;
    made.case_id = case_id;
    made.utc_ns = hand.utc_ns;
    made.by = hand.by;
    made.event = event;
    made.text = text;
    return made;
}

bool is_in(const CaseState& state, const CaseEvent& item) {
    const std::int64_t shift = item.shift_id.value_or(0);
    if (item.clip_id) return state.clips.count(*item.clip_id) > 0;
    if (item.call_id) return state.calls.count({shift, *item.call_id}) > 0;
    return item.passage_id && state.passages.count({shift, *item.passage_id}) > 0;
}

} // namespace

std::int64_t open_case(Store& store, CaseFile opened, const CaseHand& hand) {
    opened.by = hand.by;
    opened.utc_ns = hand.utc_ns;
    std::int64_t id = 0;
    store.change([&](SQLite::Database& database) { id = add_case(database, opened); });
    return id;
}

Gathered gather_into_case(Store& store, std::int64_t case_id, CaseWish wish, const CaseHand& hand) {
    CaseFile file;
    store.read([&](SQLite::Database& database) { file = open_case_of(database, case_id); });
    if (!wish.span.from_utc_ns) wish.span.from_utc_ns = file.from_utc_ns;
    if (!wish.span.to_utc_ns) wish.span.to_utc_ns = file.to_utc_ns;
    const std::vector<CaseEvent> found = search_for_case(store, file, wish);
    Gathered gathered;
    store.change([&](SQLite::Database& database) {
        gathered = {};
        const CaseState now = state_of(open_case_of(database, case_id));
        for (CaseEvent event : found) {
            if (is_in(now, event)) continue;
            event.utc_ns = hand.utc_ns;
            event.by = hand.by;
            add_case_event(database, event);
            if (event.clip_id) add_clip_hold(database, {*event.clip_id, case_id, true, hand.utc_ns, hand.by});
            ++(event.clip_id ? gathered.clips : event.call_id ? gathered.calls : gathered.passages);
        }
    });
    return gathered;
}

std::size_t drop_from_case(Store& store, std::int64_t case_id, const CaseItems& items, const std::string& why,
                           const CaseHand& hand) {
    std::vector<CaseEvent> events;
    const auto add = [&](const std::vector<std::int64_t>& numbers,
                         std::optional<std::int64_t> CaseEvent::*which, bool of_shift) {
        for (const std::int64_t number : numbers) {
            events.push_back(event_of(case_id, "dropped", why, hand));
            if (of_shift) events.back().shift_id = items.shift_id;
            events.back().*which = number;
        }
    };
    add(items.passages, &CaseEvent::passage_id, true);
    add(items.calls, &CaseEvent::call_id, true);
    add(items.clips, &CaseEvent::clip_id, false);
    store.change([&](SQLite::Database& database) {
        const CaseState state = state_of(open_case_of(database, case_id));
        for (const CaseEvent& event : events) {
            if (!is_in(state, event)) {
                const std::string what = event.clip_id   ? "clip " + std::to_string(*event.clip_id)
                                         : event.call_id ? "call " + std::to_string(*event.call_id)
                                                         : "passage " + std::to_string(*event.passage_id);
                throw CaseRefusal(CaseRefusal::Why::kNoSuchThing,
                                  named(case_id) + ": " + what + " is not in the case");
            }
            add_case_event(database, event);
        }
    });
    return events.size();
}

std::size_t hold_for_case(Store& store, std::int64_t case_id, std::vector<std::int64_t> clips, bool held,
                          const CaseHand& hand) {
    store.change([&](SQLite::Database& database) {
        const CaseState state = state_of(case_of(database, case_id));
        const std::vector<std::int64_t> holding = clips_held_by(database, case_id);
        if (clips.empty() && held) clips.assign(state.clips.begin(), state.clips.end());
        if (clips.empty() && !held) clips = holding;
        std::erase_if(clips, [&](std::int64_t clip) {
            return std::binary_search(holding.begin(), holding.end(), clip) == held;
        });
        for (const std::int64_t clip : clips) {
            ClipFilter filter;
            filter.clip_id = clip;
            if (held && read_clips(database, filter).empty()) {
                throw CaseRefusal(
                    CaseRefusal::Why::kNoSuchThing,
                    named(case_id) + ": there is no clip " + std::to_string(clip) + ", or it was deleted");
            }
            add_clip_hold(database, {clip, case_id, held, hand.utc_ns, hand.by});
        }
    });
    return clips.size();
}

std::size_t add_case_step(Store& store, std::int64_t case_id, const std::string& event,
                          const std::string& text, const CaseHand& hand) {
    std::size_t holds = 0;
    store.change([&](SQLite::Database& database) {
        const bool reopens = event == "reopened";
        const CaseFile file = reopens ? case_of(database, case_id) : open_case_of(database, case_id);
        if (reopens && state_of(file).open)
            throw CaseRefusal(CaseRefusal::Why::kWrongState, named(case_id) + ": it is open already");
        add_case_event(database, event_of(case_id, event, text, hand));
        holds = clips_held_by(database, case_id).size();
    });
    return holds;
}

} // namespace quietpass
