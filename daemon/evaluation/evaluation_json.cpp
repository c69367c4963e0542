#include "daemon/evaluation/evaluation_json.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>

namespace quietpass {

namespace {

using Json = nlohmann::ordered_json;
using namespace evaluation;

// JSON has no NaN: what can't be told is null.
Json rounded(std::optional<double> value, int decimals = 4) {
    if (!value || !std::isfinite(*value)) return nullptr;
    const double scale = std::pow(10.0, decimals);
    return std::round(*value * scale) / scale + 0.0;
}

Json interval_of(const std::optional<Interval>& interval, double scale = 1.0, int decimals = 4) {
    if (!interval) return nullptr;
    return {rounded(scale * interval->low, decimals), rounded(scale * interval->high, decimals)};
}

Json rate_of(const Rate& rate, const std::optional<Interval>& interval) {
    return {
        {"k", rate.k}, {"n", rate.n}, {"value", rounded(rate.value())}, {"interval", interval_of(interval)}};
}

Json figures_of(const Evaluation& evaluation) {
    Json rows = Json::array();
    for (const FigureRow& row : evaluation.figures) {
        const Figures& figures = row.figures;
        const Confusion& counts = figures.counts;
        Json out = {{"unit", row.unit}, {"by", row.by}, {"group", row.group}};
        out["sensitivity"] = rate_of(counts.sensitivity(), figures.sensitivity);
        if (tells_quiet_apart(row)) out["specificity"] = rate_of(counts.specificity(), figures.specificity);
        out["precision"] = rate_of(counts.precision(), figures.precision);
        out["f1"] = {{"value", rounded(counts.f1())},
                     {"interval", interval_of(figures.f1)},
                     {"interval_by_recording", interval_of(figures.by_cluster.f1)}};
        if (tells_quiet_apart(row)) {
            out["kappa"] = {{"value", rounded(counts.kappa())},
                            {"interval_by_recording", interval_of(figures.by_cluster.kappa)}};
            out["pabak"] = rounded(counts.pabak());
        }
        rows.push_back(out);
    }
    return rows;
}

Json shares_of(const Evaluation& evaluation) {
    Json rows = Json::array();
    const auto percent = [](std::optional<double> share) {
        if (share) *share *= 100.0;
        return rounded(share, 2);
    };
    for (const ShareRow& row : evaluation.shares) {
        Json out;
        out["shift"] = row.shift.empty() ? "all" : row.shift;
        out["snr_db"] = row.level ? Json(*row.level) : Json(nullptr);
        out["passages"] = row.called.n;
        out["vocal"] = row.vocal;
        out["called"] = row.called.k;
        out["true_percent"] = percent(row.true_share());
        out["percent"] = percent(row.called.value());
        out["interval"] = interval_of(row.interval, 100.0, 2);
        out["error_points"] = rounded(row.error_points(), 2);
        out["inside"] = row.inside();
        out["corrected_percent"] = row.corrected ? percent(row.corrected->share) : Json(nullptr);
        out["corrected_interval"] =
            row.corrected ? interval_of(row.corrected->interval, 100.0, 2) : Json(nullptr);
        rows.push_back(out);
    }
    return rows;
}

Json confounders_of(const Evaluation& evaluation) {
    Json rows = Json::array();
    for (const ConfounderRow& row : evaluation.confounders) {
        rows.push_back({{"class", row.kind.empty() ? "nothing" : row.kind},
                        {"called", rate_of(row.called, row.interval)},
                        {"false_calls", row.false_calls},
                        {"quiet_passages", row.quiet_passages}});
    }
    return rows;
}

Json classes_of(const Evaluation& evaluation) {
    Json rows = Json::array();
    for (const ClassRow& row : evaluation.classes) {
        rows.push_back({{"class", row.kind},
                        {"is_call", row.is_call},
                        {"clips", rate_of(row.clips, row.interval)},
                        {"recordings", {{"k", row.recordings.k}, {"n", row.recordings.n}}}});
    }
    return rows;
}

Json passages_of(const Evaluation& evaluation) {
    Json out = {{"judged", 0}, {"not_covered", 0}, {"no_truth", 0}, {"not_in_record", 0}};
    for (const JudgedPassage& passage : evaluation.passages) {
        Json& count = out[std::string(name_of(passage.standing))];
        count = count.get<int>() + 1;
    }
    return out;
}

} // namespace

std::string evaluation_json(const Evaluation& evaluation) {
    Json out;
    out["species"] = evaluation.species.empty() ? Json(nullptr) : Json(evaluation.species);
    out["shifts"] = evaluation.shifts;
    out["clips"] = evaluation.clips.empty() ? Json(nullptr) : Json(evaluation.clips);
    out["profiles"] = Json::array();
    for (const UsedProfile& profile : evaluation.profiles)
        out["profiles"].push_back({{"path", profile.path}, {"sha256", profile.sha256}});
    out["confidence"] = evaluation.bootstrap.confidence;
    out["intervals"] = {{"rates", "Wilson"},
                        {"f1", "Wilson of F* = TP / (TP + FP + FN), transformed"},
                        {"by_recording", "percentiles of recordings drawn anew"},
                        {"draws", evaluation.bootstrap.draws},
                        {"seed", evaluation.bootstrap.seed},
                        {"corrected", "Rogan-Gladen with the interval of Lang and Reiczigel"},
                        {"corrected_with", evaluation.rates_from}};
    out["passages"] = passages_of(evaluation);
    out["clips_set_apart"] = std::count_if(evaluation.judged_clips.begin(), evaluation.judged_clips.end(),
                                           [](const JudgedClip& clip) { return clip.set_apart; });
    out["figures"] = figures_of(evaluation);
    out["shares"] = shares_of(evaluation);
    out["confounders"] = confounders_of(evaluation);
    out["classes"] = classes_of(evaluation);
    return out.dump(2, ' ', false, Json::error_handler_t::replace) + '\n';
}

} // namespace quietpass
