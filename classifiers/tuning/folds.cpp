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

void assign_folds_by_recording(std::vector<Clip>& clips, int folds) {
    std::set<std::string> with_calls;
    std::set<std::string> all;
    for (const Clip& clip : clips) {
        all.insert(clip.recording);
        for (const Span& span : clip.spans) {
            if (span.label == SpanLabel::kCall) with_calls.insert(clip.recording);
        }
    }
    std::map<std::string, int> fold;
    int called = 0;
    int others = 0;
    for (const std::string& name : all) fold[name] = (with_calls.contains(name) ? called : others)++ % folds;
    for (Clip& clip : clips) clip.fold = fold[clip.recording];
}

} // namespace quietpass::tuning
