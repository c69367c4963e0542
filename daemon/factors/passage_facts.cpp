#include "daemon/factors/passage_facts.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

namespace quietpass {

namespace {

constexpr std::size_t kPaceOf = 10; // times between entries
constexpr std::size_t kPaceFrom = 5;

// The pace of the line in one shift, animal by animal.
class Pace {
  public:
    void enter(double entered_s) {
        if (!std::isnan(last_s_)) between_s_[count_++ % kPaceOf] = entered_s - last_s_;
        last_s_ = entered_s;
    }

    std::optional<double> per_hour() const {
        const std::size_t known = std::min(count_, kPaceOf);
        if (known < kPaceFrom) return std::nullopt;
        std::array<double, kPaceOf> sorted = between_s_;
        std::sort(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(known));
        const std::size_t half = known / 2;
        const double median_s = known % 2 == 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2.0;
        if (median_s <= 0.0) return std::nullopt;
        return 3600.0 / median_s;
    }

  private:
    double last_s_ = kNever;
    std::array<double, kPaceOf> between_s_{}; // the last ones, in a ring
    std::size_t count_ = 0;
};

// How long the shift had gone on by the plan when the store's began.
double late_s(const SpanRows& rows, const StoredShift& shift) {
    const auto planned = rows.planned_start_utc_ns.find(shift.shift_id);
    if (planned == rows.planned_start_utc_ns.end() || !shift.start_utc_ns) return 0.0;
    return static_cast<double>(*shift.start_utc_ns - planned->second) * 1e-9;
}

// journal: what of it can hold in this shift.
PassageFacts facts_in_shift(SpanPassage&& from, const StoredShift& shift, double shift_late_s,
                            const Journal& journal) {
    PassageFacts facts;
    facts.row = std::move(from);
    const SpanPassage& row = facts.row;
    for (const SpanCall& call : row.calls) {
        for (std::size_t i = 0; i < kCountedPhases.size(); ++i) {
            if (kCountedPhases[i] == call.phase) facts.vocal_in[i] = true;
        }
    }
    const double held_for_s = row.passage.held_for_s();
    if (!std::isnan(held_for_s)) facts.held_for_s = held_for_s;
    const double into_s = std::max(0.0, row.passage.entered_s - shift.start_s + shift_late_s);
    facts.hour_of_shift = 1 + static_cast<std::int64_t>(into_s / 3600.0);
    if (row.entered_utc_ns) {
        facts.lot = journal.lot_at(*row.entered_utc_ns);
        facts.notes = journal.notes_at(*row.entered_utc_ns,
                                       shift.start_utc_ns.value_or(std::numeric_limits<std::int64_t>::min()),
                                       shift.end_utc_ns.value_or(std::numeric_limits<std::int64_t>::max()));
    }
    return facts;
}

} // namespace

bool PassageFacts::vocal_in_phase(Phase phase) const {
    for (std::size_t i = 0; i < kCountedPhases.size(); ++i) {
        if (kCountedPhases[i] == phase) return vocal_in[i];
    }
    return false;
}

std::vector<PassageFacts> facts_of(SpanRows rows, const Journal& journal, const RecordSpan& span) {
    std::vector<PassageFacts> all;
    all.reserve(rows.passages.size());
    auto row = rows.passages.begin();
    for (const StoredShift& shift : rows.shifts) {
        // Of a year's notes a handful hold in one shift, and each passage looks for its own.
        const Journal of_shift = journal.lots_and_notes(shift.start_utc_ns, shift.end_utc_ns);
        const double shift_late_s = late_s(rows, shift);
        Pace pace;
        for (; row != rows.passages.end() && row->shift_id == shift.shift_id; ++row) {
            if (row->passage.excluded != "no_animal") pace.enter(row->passage.entered_s);
            if (!span.holds(row->entered_utc_ns)) continue;
            all.push_back(facts_in_shift(std::move(*row), shift, shift_late_s, of_shift));
            all.back().line_rate_per_hour = pace.per_hour();
        }
    }
    return all;
}

} // namespace quietpass
