#include "classifiers/tuning/passage_tally.h"

#include <algorithm>
#include <cmath>

namespace quietpass::tuning {

double PassageTally::f1_at(double vocal_share) const {
    const double hits = vocal_share * sensitivity();
    const double found = hits + (1 - vocal_share) * false_alarm_rate();
    return hits > 0 ? 2 * hits / (found + vocal_share) : 0.0;
}

void PassageTally::add(const PassageTally& other) {
    vocal += other.vocal;
    heard += other.heard;
    quiet += other.quiet;
    false_alarms += other.false_alarms;
}

PassageTally tally(const std::vector<ScoredPassage>& passages, double cut) {
    PassageTally out;
    for (const ScoredPassage& passage : passages) {
        const bool judged = passage.score >= cut;
        ++(passage.vocal ? out.vocal : out.quiet);
        if (judged) ++(passage.vocal ? out.heard : out.false_alarms);
    }
    return out;
}

double cut_for(const std::vector<ScoredPassage>& passages, double most_false_alarms) {
    std::vector<double> quiet;
    for (const ScoredPassage& passage : passages) {
        if (!passage.vocal) quiet.push_back(passage.score);
    }
    if (quiet.empty()) return 0.0;
    std::sort(quiet.begin(), quiet.end(), std::greater<>());
    const auto allowed = static_cast<std::size_t>(most_false_alarms * static_cast<double>(quiet.size()));
    if (allowed >= quiet.size()) return 0.0;
    // Half way to the next score that would still pass, so that the cut doesn't sit on one sound.
    const double highest_out = quiet[allowed];
    const double lowest_in = allowed > 0 ? quiet[allowed - 1] : highest_out + 0.2;
    if (!std::isfinite(highest_out)) return std::isfinite(lowest_in) ? lowest_in : 0.0;
    const double cut = highest_out + std::max(1e-6, std::min(0.1, (lowest_in - highest_out) / 2));
    return std::ceil(cut * 1000) / 1000;
}

} // namespace quietpass::tuning
