// The journal as it stands: what people entered, less what they withdrew, and what of it holds at a moment.
//
// A lot holds from its moment to the next lot or end of lot; of two at the same moment the one entered last.
// A note holds from its moment to its `until`, which whoever reads a note without one must give. UTC in
// nanoseconds. Immutable; any thread.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/records/journal_entry.h"

namespace quietpass {

class Journal {
  public:
    explicit Journal(const std::vector<JournalEntry>& entered);

    // In force, by moment; changes and notes, lots and their ends.
    std::vector<JournalEntry> lots() const;
    std::vector<JournalEntry> of_kind(EntryKind kind) const;

    // Of them what can hold from the one moment up to the other (an empty one: without end): few, where each
    // of many passages is looked up.
    Journal lots_and_notes(std::optional<std::int64_t> from_utc_ns,
                           std::optional<std::int64_t> to_utc_ns) const;

    // Withdrawn or never entered: nothing.
    std::optional<JournalEntry> entry(std::int64_t id) const;

    // Nothing where no lot was named.
    std::optional<std::string> lot_at(std::int64_t utc_ns) const;

    // Notes that hold at a moment of a shift that ends at `shift_end_utc_ns`, each text once.
    std::vector<std::string> notes_at(std::int64_t utc_ns, std::int64_t shift_start_utc_ns,
                                      std::int64_t shift_end_utc_ns) const;

  private:
    void sort_by_kind();

    std::vector<JournalEntry> entries_; // by moment, then as entered
    std::vector<std::size_t> lots_;     // of these, the lots and their ends: a year has ten thousand
    std::vector<std::size_t> notes_;    // and the notes
};

} // namespace quietpass
