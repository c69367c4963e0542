#include "daemon/review/case_search.h"

#include <algorithm>
#include <map>

#include "daemon/failure.h"
#include "daemon/records/case_rows.h"
#include "daemon/records/clip_rows.h"
#include "daemon/review/case_state.h"

namespace quietpass {

namespace {

[[noreturn]] void fail_gather(const std::string& what) {
    throw Failure(kExitUsage, "case gather: " + what);
}

// What was found in one shift.
struct Found {
    std::set<std::int64_t> passages;
    std::set<std::int64_t> calls;
};

bool within(const ClipRow& clip, const Passage& passage) {
    return clip.start_s < passage.end_s && clip.end_s > passage.entered_s;
}

bool belongs(const StoredClip& stored, const ShiftRows& rows, const Found& found) {
    const ClipRow& clip = stored.row;
    if (stored.deletion) return false;
    if (clip.passage_id && found.passages.count(*clip.passage_id) > 0) return true;
    if (clip.call_id && found.calls.count(*clip.call_id) > 0) return true;
    return clip.why == ClipWhy::kContinuous &&
           std::any_of(rows.passages.begin(), rows.passages.end(), [&](const Passage& passage) {
               return found.passages.count(passage.id) > 0 && within(clip, passage);
           });
}

ShiftRows shift_searched(const Store& store, std::int64_t shift_id) {
    std::optional<ShiftRows> rows = store.read_shift(shift_id);
    if (!rows) fail_gather("no shift " + std::to_string(shift_id) + " is in " + store.file().string());
    return std::move(*rows);
}

void add_named(const Store& store, const CaseWish& wish, std::map<std::int64_t, Found>& found) {
    if (wish.passages.empty() && wish.calls.empty()) return;
    const ShiftRows rows = shift_searched(store, wish.shift_id);
    Found& of_shift = found[wish.shift_id];
    const std::string shift = "shift " + std::to_string(wish.shift_id);
    for (const std::int64_t id : wish.passages) {
        const auto has = [id](const Passage& passage) { return passage.id == id; };
        if (std::none_of(rows.passages.begin(), rows.passages.end(), has)) {
            fail_gather(shift + " has no passage " + std::to_string(id) + "; see `quietpass passages`");
        }
        of_shift.passages.insert(id);
    }
    for (const std::int64_t id : wish.calls) {
        const auto call = std::find_if(rows.calls.begin(), rows.calls.end(),
                                       [id](const StationCall& each) { return each.id == id; });
        if (call == rows.calls.end()) fail_gather(shift + " has no call " + std::to_string(id));
        of_shift.calls.insert(id);
        if (call->passage_id) of_shift.passages.insert(*call->passage_id);
    }
}

void add_span(const Store& store, const CaseWish& wish, std::map<std::int64_t, Found>& found) {
    if (!wish.passages.empty() || !wish.calls.empty() || !wish.clips.empty()) return;
    for (const SpanPassage& passage : store.read_span(wish.span).passages) {
        const bool calling = passage.passage.calls > 0 || passage.passage.calls_after_stun > 0;
        if (!wish.span.holds(passage.entered_utc_ns) || (wish.calling && !calling)) continue;
        found[passage.shift_id].passages.insert(passage.passage.id);
    }
    store.read([&](SQLite::Database& database) {
        for (const auto& [shift_id, call_id] : calls_without_passage(database, wish.span)) {
            found[shift_id].calls.insert(call_id);
        }
    });
}

CaseEvent added(const CaseFile& file, std::optional<std::int64_t> shift_id) {
    CaseEvent event;
    event.case_id = file.id;
    event.event = "added";
    event.shift_id = shift_id;
    return event;
}

// Of the shifts that anything was found in, and those that are asked for.
std::vector<StoredClip> clips_of(SQLite::Database& database, const CaseWish& wish,
                                 const std::map<std::int64_t, Found>& found) {
    std::vector<StoredClip> clips;
    const auto add = [&](const ClipFilter& filter) {
        for (StoredClip& clip : read_clips(database, filter)) clips.push_back(std::move(clip));
    };
    ClipFilter filter;
    filter.deleted_too = true;
    for (const auto& [shift_id, of_shift] : found) {
        filter.shift_id = shift_id;
        add(filter);
    }
    filter.shift_id.reset();
    for (const std::int64_t id : wish.clips) {
        filter.clip_id = id;
        add(filter);
    }
    return clips;
}

} // namespace

std::vector<CaseEvent> search_for_case(const Store& store, const CaseFile& file, const CaseWish& wish) {
    std::map<std::int64_t, Found> found;
    add_named(store, wish, found);
    add_span(store, wish, found);
    std::vector<StoredClip> clips;
    store.read([&](SQLite::Database& database) { clips = clips_of(database, wish, found); });

    const CaseState state = state_of(file);
    std::vector<CaseEvent> events;
    std::vector<CaseEvent> of_clips;
    std::set<std::int64_t> wished(wish.clips.begin(), wish.clips.end());
    for (auto& [shift_id, of_shift] : found) {
        const ShiftRows rows = shift_searched(store, shift_id);
        for (const std::int64_t id : of_shift.passages) {
            CaseEvent event = added(file, shift_id);
            event.passage_id = id;
            if (state.passages.count({shift_id, id}) == 0) events.push_back(event);
        }
        for (const StationCall& call : rows.calls) {
            if (call.passage_id && of_shift.passages.count(*call.passage_id) > 0) {
                of_shift.calls.insert(call.id);
            }
        }
        for (const std::int64_t id : of_shift.calls) {
            CaseEvent event = added(file, shift_id);
            event.call_id = id;
            if (state.calls.count({shift_id, id}) == 0) events.push_back(event);
        }
        for (const StoredClip& clip : clips) {
            if (clip.row.shift_id == shift_id && belongs(clip, rows, of_shift))
                wished.insert(clip.row.clip_id);
        }
    }
    for (const std::int64_t id : wished) {
        const auto clip = std::find_if(clips.begin(), clips.end(),
                                       [id](const StoredClip& each) { return each.row.clip_id == id; });
        if (clip == clips.end()) fail_gather("no clip " + std::to_string(id) + "; see `quietpass clips`");
        if (clip->deletion) fail_gather("clip " + std::to_string(id) + " was deleted");
        CaseEvent event = added(file, clip->row.shift_id);
        event.clip_id = id;
        if (state.clips.count(id) == 0) of_clips.push_back(event);
    }
    events.insert(events.end(), of_clips.begin(), of_clips.end());
    return events;
}

} // namespace quietpass
