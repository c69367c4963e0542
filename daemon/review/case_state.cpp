#include "daemon/review/case_state.h"

#include <map>

namespace quietpass {

namespace {

template <typename Key>
void set(std::set<Key>& keys, const Key& key, bool there) {
    if (there) {
        keys.insert(key);
    } else {
        keys.erase(key);
    }
}

} // namespace

CaseState state_of(const CaseFile& file) {
    CaseState state;
    std::map<std::int64_t, std::int64_t> clips; // by clip its shift, 0: none
    for (const CaseEvent& event : file.events) {
        if (event.event == "closed" || event.event == "reopened") state.open = event.event == "reopened";
        if (event.event == "decision") state.decision = event.text;
        if (event.event == "exported") ++state.exports;
        if (event.event != "added" && event.event != "dropped") continue;
        const bool there = event.event == "added";
        const std::int64_t shift = event.shift_id.value_or(0);
        if (event.clip_id) {
            if (there) clips[*event.clip_id] = shift;
            if (!there) clips.erase(*event.clip_id);
        } else if (event.call_id) {
            set(state.calls, {shift, *event.call_id}, there);
        } else if (event.passage_id) {
            set(state.passages, {shift, *event.passage_id}, there);
        }
    }
    for (const auto& [clip, shift] : clips) {
        state.clips.insert(clip);
        if (shift != 0) state.shifts.insert(shift);
    }
    for (const auto& [shift, passage] : state.passages) state.shifts.insert(shift);
    for (const auto& [shift, call] : state.calls) state.shifts.insert(shift);
    return state;
}

} // namespace quietpass
