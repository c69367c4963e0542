#include "daemon/records/span_reader.h"

#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>

#include <algorithm>
#include <stdexcept>
#include <string>

#include "daemon/records/plain_rows.h"
#include "daemon/records/planned_starts.h"
#include "daemon/records/row_reader.h"
#include "daemon/records/semicolons.h"

namespace quietpass {

namespace {

std::vector<StoredShift> shifts_in(SQLite::Database& database, const RecordSpan& span) {
    std::vector<StoredShift> shifts;
    if (span.shift_id && !span.from_utc_ns && !span.to_utc_ns) {
        if (auto shift = read_stored_shift(database, *span.shift_id)) shifts.push_back(std::move(*shift));
        return shifts;
    }
    shifts = read_shifts_between(database, span.from_utc_ns, span.to_utc_ns);
    if (span.shift_id)
        std::erase_if(shifts, [&](const StoredShift& shift) { return shift.shift_id != *span.shift_id; });
    return shifts;
}

Phase phase_named(const std::string& word) {
    for (const Phase phase :
         {Phase::kEntry, Phase::kBodyHeld, Phase::kHeld, Phase::kAtStun, Phase::kAfterStun}) {
        if (name_of(phase) == word) return phase;
    }
    throw std::runtime_error("unknown phase \"" + word + "\"");
}

SpanPassage passage_in(const PlainRows& cells) {
    SpanPassage row;
    row.shift_id = cells.integer(0);
    Passage& passage = row.passage;
    passage.id = cells.integer(1);
    passage.entered_s = cells.number_or_nan(2);
    passage.body_held_s = cells.number_or_nan(3);
    passage.held_s = cells.number_or_nan(4);
    passage.stunned_s = cells.number_or_nan(5);
    passage.released_s = cells.number_or_nan(6);
    passage.end_s = cells.number_or_nan(7);
    row.entered_utc_ns = cells.optional_integer(8);
    row.end_utc_ns = cells.optional_integer(9);
    passage.calls = static_cast<int>(cells.integer(10));
    passage.vocal = cells.integer(11) != 0;
    passage.covered = cells.integer(12) != 0;
    passage.calls_at_stun = static_cast<int>(cells.integer(13));
    passage.calls_after_stun = static_cast<int>(cells.integer(14));
    passage.stuns = static_cast<int>(cells.integer(15));
    passage.prods = static_cast<int>(cells.integer(16));
    passage.excluded = cells.text(17);
    passage.flags = split_at_semicolons(cells.text(18));
    if (const auto bangs = cells.optional_integer(19)) passage.bangs = static_cast<int>(*bangs);
    return row;
}

// A call may follow a noise that was heard just before its animal came in.
constexpr double kBefore_s = 1.0;

std::vector<SpanNoise> noises_of(SQLite::Database& database, std::int64_t shift_id) {
    SQLite::Statement query(database,
                            "SELECT time_s, end_s, kind, level_db FROM noises WHERE shift_id = ? "
                            "ORDER BY time_s, microphone, kind");
    query.bind(1, shift_id);
    std::vector<SpanNoise> noises;
    while (query.executeStep()) {
        noises.push_back({query.getColumn(0).getDouble(), query.getColumn(1).getDouble(),
                          query.getColumn(2).getString() == "hiss", query.getColumn(3).getDouble()});
    }
    return noises;
}

// Gives each passage from `first` on the noises of its time; one of a conveyor may be several's.
void share_noises(const std::vector<SpanNoise>& noises, std::size_t first, SpanRows& rows) {
    double longest_s = 0.0;
    for (const SpanNoise& noise : noises) longest_s = std::max(longest_s, noise.end_s - noise.time_s);
    for (std::size_t i = first; i < rows.passages.size(); ++i) {
        SpanPassage& passage = rows.passages[i];
        const double from_s = passage.passage.entered_s - kBefore_s;
        auto noise =
            std::lower_bound(noises.begin(), noises.end(), from_s - longest_s,
                             [](const SpanNoise& one, double time_s) { return one.time_s < time_s; });
        for (; noise != noises.end() && noise->time_s <= passage.passage.end_s; ++noise) {
            if (noise->end_s >= from_s) passage.noises.push_back(*noise);
        }
    }
}

void read_passages(SQLite::Database& database, std::int64_t shift_id, SpanDetail detail, SpanRows& rows) {
    PlainRows passages(
        database,
        "SELECT shift_id, passage_id, entered_s, body_held_s, held_s, stunned_s, released_s, end_s, "
        "entered_utc_ns, end_utc_ns, calls, vocal, covered, calls_at_stun, calls_after_stun, stuns, "
        "prods, excluded, flags, bangs FROM passages WHERE shift_id = ? ORDER BY passage_id",
        shift_id);
    const std::size_t first = rows.passages.size();
    while (passages.next()) rows.passages.push_back(passage_in(passages));
    if (detail == SpanDetail::kPassages) return;
    const auto begin = rows.passages.begin() + static_cast<std::ptrdiff_t>(first);
    SQLite::Statement calls(database,
                            "SELECT passage_id, phase, start_s FROM calls WHERE shift_id = ? AND "
                            "counted = 1 AND passage_id IS NOT NULL AND phase IS NOT NULL "
                            "ORDER BY start_s, call_id");
    calls.bind(1, shift_id);
    while (calls.executeStep()) {
        const std::int64_t id = calls.getColumn(0).getInt64();
        const auto place = std::lower_bound(
            begin, rows.passages.end(), id,
            [](const SpanPassage& one, std::int64_t wanted) { return one.passage.id < wanted; });
        if (place == rows.passages.end() || place->passage.id != id) continue; // not written yet
        place->calls.push_back({calls.getColumn(2).getDouble(), phase_named(calls.getColumn(1).getString())});
    }
    if (detail == SpanDetail::kAll) share_noises(noises_of(database, shift_id), first, rows);
}

void read_shift(SQLite::Database& database, const StoredShift& shift, PlannedStarts& planned,
                SpanDetail detail, SpanRows& rows) {
    rows.shifts.push_back(shift);
    if (const auto start_utc_ns = planned.of(shift))
        rows.planned_start_utc_ns[shift.shift_id] = *start_utc_ns;
    read_passages(database, shift.shift_id, detail, rows);
}

} // namespace

SpanRows read_passages_of(SQLite::Database& database, const StoredShift& shift, SpanDetail detail) {
    SpanRows rows;
    PlannedStarts planned(database);
    read_shift(database, shift, planned, detail, rows);
    return rows;
}

SpanRows read_span(SQLite::Database& database, const RecordSpan& span) {
    const SQLite::Transaction snapshot(database);
    return read_span_within(database, span);
}

SpanRows read_newest_passages(SQLite::Database& database, std::int64_t count, bool vocal) {
    const SQLite::Transaction snapshot(database);
    SQLite::Statement newest(
        database, std::string("SELECT shift_id, (SELECT count(*) FROM passages WHERE passages.shift_id = "
                              "shifts.shift_id") +
                      (vocal ? " AND vocal = 1 AND covered = 1 AND excluded = ''" : "") +
                      ") FROM shifts ORDER BY shift_id DESC");
    std::vector<std::int64_t> ids;
    while (count > 0 && newest.executeStep()) {
        ids.push_back(newest.getColumn(0).getInt64());
        count -= newest.getColumn(1).getInt64();
    }
    SpanRows rows;
    PlannedStarts planned(database);
    for (auto id = ids.rbegin(); id != ids.rend(); ++id) {
        if (const auto shift = read_stored_shift(database, *id))
            read_shift(database, *shift, planned, SpanDetail::kAll, rows);
    }
    return rows;
}

SpanRows read_span_within(SQLite::Database& database, const RecordSpan& span, SpanDetail detail) {
    SpanRows rows;
    PlannedStarts planned(database);
    for (const StoredShift& shift : shifts_in(database, span))
        read_shift(database, shift, planned, detail, rows);
    return rows;
}

} // namespace quietpass
