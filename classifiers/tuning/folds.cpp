#include "classifiers/tuning/folds.h"

#include <algorithm>
#include <map>
#include <set>
#include <string>

namespace quietpass::tuning {

void assign_folds(std::vector<Clip>& clips, int folds) {
    std::map<std::string, std::set<std::string>> recordings;
    for (const Clip& clip : clips) recordings[clip.kind].insert(clip.recording);
    for (Clip& clip : clips) {
        const std::set<std::string>& names = recordings[clip.kind];
        const auto place = std::distance(names.begin(), names.find(clip.recording));
        clip.fold = static_cast<int>(place % folds);
    }
}

} // namespace quietpass::tuning
