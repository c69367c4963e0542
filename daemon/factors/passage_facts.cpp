#include "daemon/factors/passage_facts.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <limits>

namespace quietpass {

namespace {

constexpr std::size_t kPaceOf = 10; // times between entries
constexpr std::size_t kPaceFrom = 5;

// The pace of the line in one shift, animal by animal.
class Pace {
  public:
    void enter(double entered_s) {
        if (!std::isnan(last_s_)) between_s_.push_back(entered_s - last_s_);
        last_s_ = entered_s;
        if (between_s_.size() > kPaceOf) between_s_.pop_front();
    }

    std::optional<double> per_hour() const {
        if (between_s_.size() < kPaceFrom) return std::nullopt;
        std::vector<double> sorted(between_s_.begin(), between_s_.end());
        std::sort(sorted.begin(), sorted.end());
        const std::size_t half = sorted.size() / 2;
        const double median_s =
            sorted.size() % 2 == 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2.0;
        if (median_s <= 0.0) return std::nullopt;
        return 3600.0 / median_s;
    }

  private:
    double last_s_ = kNever;
    std::deque<double> between_s_;
};

PassageFacts facts_of(const SpanPassage& row, const StoredShift& shift, const Journal& journal) {
    PassageFacts facts;
    facts.row = row;
    for (const SpanCall& call : row.calls) {
        for (std::size_t i = 0; i < kCountedPhases.size(); ++i) {
            if (kCountedPhases[i] == call.phase) facts.vocal_in[i] = true;
        }
    }
    const double held_for_s = row.passage.held_for_s();
    if (!std::isnan(held_for_s)) facts.held_for_s = held_for_s;
    const double into_s = std::max(0.0, row.passage.entered_s - shift.start_s);
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

std::vector<PassageFacts> facts_of(const SpanRows& rows, const Journal& journal, const RecordSpan& span) {
    std::vector<PassageFacts> all;
    auto row = rows.passages.begin();
    for (const StoredShift& shift : rows.shifts) {
        Pace pace;
        for (; row != rows.passages.end() && row->shift_id == shift.shift_id; ++row) {
            PassageFacts facts = facts_of(*row, shift, journal);
            if (row->passage.excluded != "no_animal") pace.enter(row->passage.entered_s);
            facts.line_rate_per_hour = pace.per_hour();
            if (span.holds(row->entered_utc_ns)) all.push_back(facts);
        }
    }
    return all;
}

} // namespace quietpass
