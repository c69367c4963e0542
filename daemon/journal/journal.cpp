#include "daemon/journal/journal.h"

#include <algorithm>
#include <set>

namespace quietpass {

Journal::Journal(const std::vector<JournalEntry>& entered) {
    std::set<std::int64_t> withdrawn;
    for (const JournalEntry& entry : entered) {
        if (entry.withdraws) withdrawn.insert(*entry.withdraws);
    }
    for (const JournalEntry& entry : entered) {
        if (entry.kind != EntryKind::kWithdrawn && withdrawn.count(entry.id) == 0) entries_.push_back(entry);
    }
    std::stable_sort(entries_.begin(), entries_.end(),
                     [](const JournalEntry& a, const JournalEntry& b) { return a.at_utc_ns < b.at_utc_ns; });
}

std::vector<JournalEntry> Journal::lots() const {
    std::vector<JournalEntry> found;
    for (const JournalEntry& entry : entries_) {
        if (entry.kind == EntryKind::kLot || entry.kind == EntryKind::kLotEnd) found.push_back(entry);
    }
    return found;
}

std::vector<JournalEntry> Journal::of_kind(EntryKind kind) const {
    std::vector<JournalEntry> found;
    for (const JournalEntry& entry : entries_) {
        if (entry.kind == kind) found.push_back(entry);
    }
    return found;
}

std::optional<JournalEntry> Journal::entry(std::int64_t id) const {
    for (const JournalEntry& entry : entries_) {
        if (entry.id == id) return entry;
    }
    return std::nullopt;
}

std::optional<std::string> Journal::lot_at(std::int64_t utc_ns) const {
    std::optional<std::string> lot;
    for (const JournalEntry& entry : entries_) {
        if (entry.at_utc_ns > utc_ns) break;
        if (entry.kind == EntryKind::kLot) lot = entry.text;
        if (entry.kind == EntryKind::kLotEnd) lot.reset();
    }
    return lot;
}

std::vector<std::string> Journal::notes_at(std::int64_t utc_ns, std::int64_t shift_start_utc_ns,
                                           std::int64_t shift_end_utc_ns) const {
    std::vector<std::string> texts;
    for (const JournalEntry& entry : entries_) {
        if (entry.at_utc_ns > utc_ns) break;
        if (entry.kind != EntryKind::kNote) continue;
        // Without an end it holds for the shift that it was entered in.
        const bool of_this_shift = entry.at_utc_ns >= shift_start_utc_ns;
        if (!entry.until_utc_ns && !of_this_shift) continue;
        if (utc_ns >= entry.until_utc_ns.value_or(shift_end_utc_ns)) continue;
        if (std::find(texts.begin(), texts.end(), entry.text) == texts.end()) texts.push_back(entry.text);
    }
    return texts;
}

} // namespace quietpass
