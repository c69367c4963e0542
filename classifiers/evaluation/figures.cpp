#include "classifiers/evaluation/figures.h"

#include <map>
#include <vector>

#include "classifiers/evaluation/f1_interval.h"

namespace quietpass::evaluation {

namespace {

std::optional<Interval> wilson_of(const Rate& rate, double confidence) {
    return wilson_interval(rate.k, rate.n, confidence);
}

} // namespace

Figures figures_of(std::span<const Judged> judged, const BootstrapSettings& settings) {
    Figures out;
    std::map<std::string, Confusion> named;
    std::vector<Confusion> clusters;
    for (const Judged& one : judged) {
        out.counts.add(one.is_call, one.called);
        Confusion& cluster = one.cluster.empty() ? clusters.emplace_back() : named[one.cluster];
        cluster.add(one.is_call, one.called);
    }
    for (const auto& [name, counts] : named) clusters.push_back(counts);
    out.sensitivity = wilson_of(out.counts.sensitivity(), settings.confidence);
    out.specificity = wilson_of(out.counts.specificity(), settings.confidence);
    out.precision = wilson_of(out.counts.precision(), settings.confidence);
    out.f1 = f1_interval(out.counts, settings.confidence);
    out.by_cluster = cluster_bootstrap(clusters, settings);
    return out;
}

bool tells_quiet_apart(const FigureRow& row) {
    return row.unit != "event" && row.unit != "clip_event";
}

} // namespace quietpass::evaluation
