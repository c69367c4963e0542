#include "classifiers/evaluation/share_rows.h"

#include <algorithm>

namespace quietpass::evaluation {

namespace {

struct Shift {
    std::string name;
    std::optional<int> level;
    Confusion counts;
};

std::vector<Shift> shifts_in(std::span<const JudgedPassage> passages) {
    const std::map<std::string, int> levels = levels_of_shifts(passages);
    std::vector<Shift> shifts;
    for (const JudgedPassage& passage : passages) {
        auto at = std::find_if(shifts.begin(), shifts.end(),
                               [&](const Shift& shift) { return shift.name == passage.shift; });
        if (at == shifts.end()) {
            Shift shift{passage.shift, std::nullopt, {}};
            if (const auto level = levels.find(passage.shift); level != levels.end())
                shift.level = level->second;
            at = shifts.insert(shifts.end(), shift);
        }
        if (passage.standing == Standing::kJudged) at->counts.add(passage.vocal, passage.called);
    }
    return shifts;
}

HearingRates rates_of(const Confusion& counts) {
    return {counts.sensitivity(), counts.specificity()};
}

HearingRates rates_of_others(const std::vector<Shift>& shifts, const Shift& one) {
    Confusion sum;
    for (const Shift& other : shifts) {
        if (other.name != one.name && other.level == one.level) sum.add(other.counts);
    }
    return rates_of(sum);
}

HearingRates known_for(const KnownRates& known, const std::optional<int>& level) {
    if (level) {
        if (const auto found = known.by_level.find(*level); found != known.by_level.end())
            return found->second;
    }
    return known.all;
}

ShareRow row_of(const Shift& shift, const HearingRates& rates, double confidence) {
    ShareRow row;
    row.shift = shift.name;
    row.level = shift.level;
    row.vocal = shift.counts.positives();
    row.called = {shift.counts.true_positives + shift.counts.false_positives, shift.counts.all()};
    row.interval = wilson_interval(row.called.k, row.called.n, confidence);
    row.corrected = true_share(row.called, rates, confidence);
    return row;
}

} // namespace

std::optional<double> ShareRow::error_points() const {
    if (called.n == 0) return std::nullopt;
    return 100.0 * static_cast<double>(called.k - vocal) / static_cast<double>(called.n);
}

bool ShareRow::inside() const {
    const auto share = true_share();
    return share && interval && interval->low <= *share && *share <= interval->high;
}

std::vector<ShareRow> share_rows(std::span<const JudgedPassage> passages,
                                 const std::optional<KnownRates>& known, double confidence) {
    const std::vector<Shift> shifts = shifts_in(passages);
    std::vector<ShareRow> rows;
    Shift together;
    for (const Shift& shift : shifts) {
        rows.push_back(row_of(shift, known ? known_for(*known, shift.level) : rates_of_others(shifts, shift),
                              confidence));
        together.counts.add(shift.counts);
    }
    if (shifts.size() < 2) return rows;
    if (std::all_of(shifts.begin(), shifts.end(),
                    [&](const Shift& shift) { return shift.level == shifts.front().level; }))
        together.level = shifts.front().level;
    rows.push_back(row_of(together, known ? known_for(*known, together.level) : HearingRates{}, confidence));
    return rows;
}

} // namespace quietpass::evaluation
