#include "daemon/journal/journal.h"

#include <algorithm>
#include <iterator>
#include <limits>
#include <set>

namespace quietpass {

namespace {

bool is_of_lots(const JournalEntry& entry) {
    return entry.kind == EntryKind::kLot || entry.kind == EntryKind::kLotEnd;
}

} // namespace

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
    sort_by_kind();
}

void Journal::sort_by_kind() {
    for (std::size_t i = 0; i < entries_.size(); ++i) {
        if (is_of_lots(entries_[i])) lots_.push_back(i);
        if (entries_[i].kind == EntryKind::kNote) notes_.push_back(i);
    }
}

Journal Journal::lots_and_notes(std::optional<std::int64_t> from_utc_ns,
                                std::optional<std::int64_t> to_utc_ns) const {
    const std::int64_t from = from_utc_ns.value_or(std::numeric_limits<std::int64_t>::min());
    const std::int64_t to = to_utc_ns.value_or(std::numeric_limits<std::int64_t>::max());
    std::vector<std::size_t> kept;
    // Of the lots before it the last one holds.
    auto lot = std::upper_bound(
        lots_.begin(), lots_.end(), from,
        [this](std::int64_t moment_ns, std::size_t i) { return moment_ns < entries_[i].at_utc_ns; });
    if (lot != lots_.begin()) --lot;
    for (; lot != lots_.end() && entries_[*lot].at_utc_ns < to; ++lot) kept.push_back(*lot);
    for (const std::size_t i : notes_) {
        const JournalEntry& note = entries_[i];
        if (note.at_utc_ns >= to) break;
        if (note.at_utc_ns >= from || note.until_utc_ns.value_or(from) > from) kept.push_back(i);
    }
    std::sort(kept.begin(), kept.end()); // as they were: by moment, then as entered
    Journal part{std::vector<JournalEntry>()};
    for (const std::size_t i : kept) part.entries_.push_back(entries_[i]);
    part.sort_by_kind();
    return part;
}

std::vector<JournalEntry> Journal::lots() const {
    std::vector<JournalEntry> found;
    for (const std::size_t i : lots_) found.push_back(entries_[i]);
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
    const auto later = std::upper_bound(
        lots_.begin(), lots_.end(), utc_ns,
        [this](std::int64_t moment_ns, std::size_t i) { return moment_ns < entries_[i].at_utc_ns; });
    if (later == lots_.begin()) return std::nullopt;
    const JournalEntry& latest = entries_[*std::prev(later)];
    if (latest.kind == EntryKind::kLotEnd) return std::nullopt;
    return latest.text;
}

std::vector<std::string> Journal::notes_at(std::int64_t utc_ns, std::int64_t shift_start_utc_ns,
                                           std::int64_t shift_end_utc_ns) const {
    std::vector<std::string> texts;
    for (const std::size_t i : notes_) {
        const JournalEntry& entry = entries_[i];
        if (entry.at_utc_ns > utc_ns) break;
        // Without an end it holds for the shift that it was entered in.
        const bool of_this_shift = entry.at_utc_ns >= shift_start_utc_ns;
        if (!entry.until_utc_ns && !of_this_shift) continue;
        if (utc_ns >= entry.until_utc_ns.value_or(shift_end_utc_ns)) continue;
        if (std::find(texts.begin(), texts.end(), entry.text) == texts.end()) texts.push_back(entry.text);
    }
    return texts;
}

} // namespace quietpass
