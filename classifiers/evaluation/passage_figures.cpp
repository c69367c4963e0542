#include "classifiers/evaluation/passage_figures.h"

#include <functional>
#include <map>

namespace quietpass::evaluation {

std::vector<FigureRow> passage_figures(std::span<const JudgedPassage> passages,
                                       const BootstrapSettings& settings) {
    const std::map<std::string, int> shift_level = levels_of_shifts(passages);
    std::vector<Judged> all;
    std::map<int, std::vector<Judged>, std::greater<>> by_level;
    for (const JudgedPassage& passage : passages) {
        if (passage.standing != Standing::kJudged) continue;
        const Judged judged{passage.vocal, passage.called, passage.vocal ? passage.recording : ""};
        all.push_back(judged);
        if (passage.vocal) {
            if (passage.snr_db) by_level[level_of(*passage.snr_db)].push_back(judged);
        } else if (const auto level = shift_level.find(passage.shift); level != shift_level.end()) {
            by_level[level->second].push_back(judged);
        }
    }
    std::vector<FigureRow> rows;
    rows.push_back({"passage", "all", "", figures_of(all, settings)});
    for (const auto& [level, judged] : by_level)
        rows.push_back({"passage", "snr", std::to_string(level), figures_of(judged, settings)});
    return rows;
}

} // namespace quietpass::evaluation
