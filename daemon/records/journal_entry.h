// One dated line that a person entered: where a lot begins or ends, a note, a change at the station. Nothing
// is ever altered: a wrong line is withdrawn by another one. Plain values; UTC in nanoseconds since 1970.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

enum class EntryKind { kLot, kLotEnd, kNote, kChange, kWithdrawn };

constexpr std::string_view name_of(EntryKind kind) {
    constexpr std::string_view kNames[] = {"lot", "lot_end", "note", "change", "withdrawn"};
    return kNames[static_cast<std::size_t>(kind)];
}

struct JournalEntry {
    std::int64_t id = 0; // from 1, over all kinds; given by the store
    EntryKind kind = EntryKind::kNote;
    std::int64_t at_utc_ns = 0;               // from when on it holds
    std::optional<std::int64_t> until_utc_ns; // of a note: up to here
    std::string text;                         // a lot's name, the note, what was altered
    std::string station_part;                 // of a change: where; may be empty
    std::string by;                           // who entered it; may be empty
    std::int64_t added_utc_ns = 0;            // when it was entered
    std::optional<std::int64_t> withdraws;    // of a withdrawal: the id of the line that was wrong
};

} // namespace quietpass
