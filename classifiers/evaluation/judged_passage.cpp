#include "classifiers/evaluation/judged_passage.h"

#include <cmath>
#include <set>

namespace quietpass::evaluation {

std::string_view name_of(Standing standing) {
    switch (standing) {
        case Standing::kJudged:
            return "judged";
        case Standing::kNotCovered:
            return "not_covered";
        case Standing::kNoTruth:
            return "no_truth";
        case Standing::kNotInRecord:
            return "not_in_record";
    }
    return "";
}

int level_of(double snr_db) {
    return 5 * static_cast<int>(std::lround(snr_db / 5.0));
}

std::map<std::string, int> levels_of_shifts(std::span<const JudgedPassage> passages) {
    std::map<std::string, std::set<int>> seen;
    std::set<std::string> unknown;
    for (const JudgedPassage& passage : passages) {
        if (!passage.vocal) continue;
        if (passage.snr_db)
            seen[passage.shift].insert(level_of(*passage.snr_db));
        else
            unknown.insert(passage.shift);
    }
    std::map<std::string, int> levels;
    for (const auto& [shift, found] : seen) {
        if (found.size() == 1 && !unknown.contains(shift)) levels[shift] = *found.begin();
    }
    return levels;
}

} // namespace quietpass::evaluation
