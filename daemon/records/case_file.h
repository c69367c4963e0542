// The file opened when someone complains: who asked what, what was looked at, decided and handed over. It is
// the sum of its events; none is ever altered. Plain values; the words are those of the tables `cases` and
// `case_events` (FORMATS.md). UTC in nanoseconds since 1970.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace quietpass {

struct CaseEvent {
    std::int64_t case_id = 0;
    std::int64_t utc_ns = 0;
    std::string by;
    std::string event; // note, added, dropped, decision, closed, reopened, exported
    std::string text;
    // Of added and dropped: a passage, a call or a clip.
    std::optional<std::int64_t> shift_id;
    std::optional<std::int64_t> passage_id;
    std::optional<std::int64_t> call_id;
    std::optional<std::int64_t> clip_id;
};

struct CaseFile {
    std::int64_t id = 0; // given by the store
    std::string reference;
    std::string asked_by;
    std::optional<std::int64_t> from_utc_ns;
    std::optional<std::int64_t> to_utc_ns;
    std::string by;
    std::int64_t utc_ns = 0;
    std::string note;
    std::vector<CaseEvent> events; // in order
};

} // namespace quietpass
