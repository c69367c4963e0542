#include "classifiers/evaluation/clip_figures.h"

#include <algorithm>
#include <map>
#include <tuple>
#include <utility>

namespace quietpass::evaluation {

namespace {

struct Recording {
    bool is_call = false;
    Rate called;

    bool counts_as_called() const { return 2 * called.k >= called.n; }
};

// By class and name: one name in two classes is two recordings here, one cluster below.
using Recordings = std::map<std::pair<std::string, std::string>, Recording>;

Recordings recordings_of(std::span<const JudgedClip> clips) {
    Recordings recordings;
    for (const JudgedClip& clip : clips) {
        if (clip.set_apart) continue;
        Recording& recording = recordings[{clip.kind, clip.recording}];
        recording.is_call = clip.is_call;
        ++recording.called.n;
        if (clip.called) ++recording.called.k;
    }
    return recordings;
}

} // namespace

std::vector<FigureRow> clip_figures(std::span<const JudgedClip> clips, const BootstrapSettings& settings) {
    std::vector<Judged> all;
    std::map<int, std::vector<Judged>> by_fold;
    for (const JudgedClip& clip : clips) {
        if (clip.set_apart) continue;
        const Judged judged{clip.is_call, clip.called, clip.recording};
        all.push_back(judged);
        by_fold[clip.fold].push_back(judged);
    }
    std::vector<Judged> recordings;
    for (const auto& [name, recording] : recordings_of(clips))
        recordings.push_back({recording.is_call, recording.counts_as_called(), name.second});

    std::vector<FigureRow> rows;
    rows.push_back({"clip", "all", "", figures_of(all, settings)});
    rows.push_back({"recording", "all", "", figures_of(recordings, settings)});
    if (by_fold.size() > 1) {
        for (const auto& [fold, judged] : by_fold)
            rows.push_back({"clip", "fold", std::to_string(fold), figures_of(judged, settings)});
    }
    return rows;
}

std::vector<ClassRow> class_rows(std::span<const JudgedClip> clips, double confidence) {
    std::map<std::string, ClassRow> by_kind;
    for (const auto& [name, recording] : recordings_of(clips)) {
        ClassRow& row = by_kind[name.first];
        row.kind = name.first;
        row.is_call = recording.is_call;
        row.clips.k += recording.called.k;
        row.clips.n += recording.called.n;
        ++row.recordings.n;
        if (recording.counts_as_called()) ++row.recordings.k;
    }
    std::vector<ClassRow> rows;
    for (auto& [kind, row] : by_kind) {
        row.interval = wilson_interval(row.clips.k, row.clips.n, confidence);
        rows.push_back(row);
    }
    std::stable_sort(rows.begin(), rows.end(), [](const ClassRow& a, const ClassRow& b) {
        const auto key = [](const ClassRow& row) { return std::tuple(!row.is_call, -*row.clips.value()); };
        return key(a) < key(b);
    });
    return rows;
}

} // namespace quietpass::evaluation
