// Passages judged by the highest score of the sounds in them: the unit that counts is the animal, not the
// sound.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace quietpass::tuning {

// What a passage was and the highest score in it (−infinity when nothing was found).
struct ScoredPassage {
    bool vocal = false;
    bool plant = true;   // simulated as a plant is, with recordings as they are
    double snr_db = 0.0; // of its calls; NaN when quiet
    double score = 0.0;
    int fold = 0;
    std::string kind; // class of the sound with that score
};

struct PassageTally {
    int vocal = 0;
    int heard = 0; // vocal and judged vocal
    int quiet = 0;
    int false_alarms = 0; // quiet and judged vocal

    double sensitivity() const { return vocal > 0 ? static_cast<double>(heard) / vocal : 0.0; }
    double false_alarm_rate() const { return quiet > 0 ? static_cast<double>(false_alarms) / quiet : 0.0; }
    // With the two rates as they are and this share of vocal passages.
    double f1_at(double vocal_share) const;

    void add(const PassageTally& other);
};

PassageTally tally(const std::vector<ScoredPassage>& passages, double cut);

// The lowest cut with at most this share of the quiet passages at or above it. No quiet passages: 0.
double cut_for(const std::vector<ScoredPassage>& passages, double most_false_alarms);

} // namespace quietpass::tuning
