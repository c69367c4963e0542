#include "classifiers/tuning/tuning_report.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <utility>
#include <vector>

#include "classifiers/measures.h"
#include "classifiers/plain_words.h"
#include "classifiers/tuning/dot_plot.h"
#include "classifiers/tuning/operating_curve.h"
#include "classifiers/tuning/terms_in_words.h"
#include "classifiers/tuning/text_columns.h"

namespace quietpass::tuning {
namespace {

std::string heading(const char* text) {
    return "\n" + std::string(text) + "\n" + std::string(columns_of(text), '-') + "\n";
}

std::vector<ScoredPassage> quiet_and(const std::vector<ScoredPassage>& checked, double snr_db) {
    std::vector<ScoredPassage> out;
    for (const ScoredPassage& passage : checked) {
        if (passage.plant && (!passage.vocal || passage.snr_db == snr_db)) out.push_back(passage);
    }
    return out;
}

// What a plant would see: no passage whose calls were of any level, none of the training's other places.
std::vector<ScoredPassage> as_at_a_plant(const TuningResult& result) {
    std::vector<ScoredPassage> out;
    for (const ScoredPassage& passage : result.checked) {
        if (passage.plant && (!passage.vocal || !std::isnan(passage.snr_db))) out.push_back(passage);
    }
    return out;
}

std::string figures(const TuningResult& result, const TuningOptions& options) {
    const double share = options.vocal_share;
    std::string out = heading("Passages of recordings it was not trained on");
    out += wrapped(printed("%d folds split by recording; each fold judged with the cut that the others ask "
                           "for. Precision: of passages called vocal, those that are, at a plant where %.3g "
                           "%% are vocal.",
                           options.corpus.folds, 100 * share),
                   0);
    const std::string at = printed("at %.3g %%", 100 * share);
    out += "\n  call over        vocal   heard   sensitivity   precision       F1        F1\n";
    out += "  background                                     " + in_columns(at, 10) + " " +
           in_columns(at, 10) + "  at 25 %\n";
    for (const auto& [snr_db, counted] : result.by_snr) {
        PassageTally both = result.quiet;
        both.add(counted);
        out += printed("  %7.0f dB      %6d  %6d     %7.1f %%   %7.1f %%   %6.3f    %6.3f\n", snr_db,
                       counted.vocal, counted.heard, 100 * counted.sensitivity(),
                       100 * precision_at(both, share), both.f1_at(share), both.f1_at(0.25));
    }
    out += printed("  quiet passages called vocal: %d of %d, %.2f %%\n", result.quiet.false_alarms,
                   result.quiet.quiet, 100 * result.quiet.false_alarm_rate());
    return out;
}

constexpr std::size_t kPlotWidth = 21;
constexpr std::size_t kPlotHeight = 9;

DotPlot curve_plot(const std::vector<CurvePoint>& curve, const PassageTally& at_cut, double share) {
    DotPlot plot(kPlotWidth, kPlotHeight);
    double x = 0.0;
    double y = curve.empty() ? 0.0 : curve.front().precision;
    for (const CurvePoint& point : curve) {
        // A stair: between two cuts there is nothing.
        plot.line(x, y, x, point.precision);
        plot.line(x, point.precision, point.recall, point.precision);
        x = point.recall;
        y = point.precision;
    }
    plot.mark(at_cut.sensitivity(), precision_at(at_cut, share), "◆");
    return plot;
}

std::string curves(const TuningResult& result, const TuningOptions& options) {
    const double share = options.vocal_share;
    std::string out = heading("Precision against recall, as the cut is moved");
    out += wrapped(
        printed("At %.3g %% vocal; ◆ where the shipped cut stands; area: average precision.", 100 * share),
        0);
    const double cut = result.profile.cards.front().cut;
    std::vector<std::pair<double, std::vector<ScoredPassage>>> shown;
    for (const auto& [snr_db, counted] : result.by_snr) {
        if (shown.size() < 3) shown.emplace_back(snr_db, quiet_and(result.checked, snr_db));
    }
    std::string titles = "     ";
    std::vector<std::vector<std::string>> plots;
    for (const auto& [snr_db, passages] : shown) {
        const std::vector<CurvePoint> curve = precision_recall(passages, share);
        titles += "  " +
                  in_columns(printed("%.0f dB, area %.3f", snr_db, average_precision(curve)), kPlotWidth + 1);
        plots.push_back(curve_plot(curve, tally(passages, cut), share).rows());
    }
    out += titles.substr(0, titles.find_last_not_of(' ') + 1) + "\n";
    for (std::size_t row = 0; row < kPlotHeight; ++row) {
        out += row == 0                 ? "100 %"
               : row == kPlotHeight - 1 ? "  0 %"
               : row == kPlotHeight / 2 ? " 50 %"
                                        : "     ";
        for (const std::vector<std::string>& plot : plots) out += " ┤" + plot[row] + " ";
        out.erase(out.find_last_not_of(' ') + 1);
        out += "\n";
    }
    out += "     ";
    for (std::size_t i = 0; i < plots.size(); ++i) {
        out += " └";
        for (std::size_t column = 0; column < kPlotWidth; ++column) out += "─";
        out += " ";
    }
    out += "\n     ";
    for (std::size_t i = 0; i < plots.size(); ++i) out += "  0 %     recall   100 % ";
    out.erase(out.find_last_not_of(' ') + 1);
    return out + "\n";
}

std::string band_name(const ReliabilityBand& band) {
    if (std::isinf(band.low)) return printed("under %.0f", band.high);
    if (std::isinf(band.high)) return printed("%.0f and over", band.low);
    return printed("%.0f to %.0f", band.low, band.high);
}

std::string trust(const TuningResult& result, const TuningOptions& options) {
    const double trained = options.training.call_weight_share;
    const std::vector<ScoredPassage> passages = as_at_a_plant(result);
    const std::vector<ReliabilityBand> bands = reliability(passages, options.vocal_share, trained);
    std::string out = heading("What a score is worth");
    out += wrapped(printed("Passages by their best score, all levels together. Says: the chance of a call "
                           "that the score stands for; is: the share that were vocal; both at %.3g %% vocal.",
                           100 * options.vocal_share),
                   0);
    out += "\n  best score       quiet  vocal     says       is   is, from 0 to 100 %\n";
    for (const ReliabilityBand& band : bands) {
        std::string line = printed("  %-14s %7d %6d  %6.1f %% %6.1f %%  |", band_name(band).c_str(),
                                   band.quiet, band.vocal, 100 * band.said, 100 * band.was) +
                           bar(band.was, 20);
        line += "|";
        out += line + "\n";
    }
    return out + printed("  says and is lie %.1f points apart, on average\n", 100 * calibration_error(bands));
}

using Named = std::pair<std::string, ClassFigure>;

double share_of(const ClassFigure& figure) {
    return static_cast<double>(figure.judged_calls) / std::max(1, figure.sounds);
}

std::string confusions(const TuningResult& result) {
    std::string out = heading("What it takes for calls");
    out += wrapped(
        "Passages: quiet passages of plants called vocal because of it. Sounds: all that were "
        "heard, also of places that are no plant.",
        0);
    out += "\n  class                 passages     sounds called      of    share\n";
    std::vector<Named> order(result.classes.begin(), result.classes.end());
    const auto passages = [&](const std::string& kind) {
        const auto found = result.false_alarms_by.find(kind);
        return found == result.false_alarms_by.end() ? 0 : found->second;
    };
    std::stable_sort(order.begin(), order.end(), [&](const Named& a, const Named& b) {
        if (passages(a.first) != passages(b.first)) return passages(a.first) > passages(b.first);
        return share_of(a.second) > share_of(b.second);
    });
    std::string never;
    for (const auto& [kind, figure] : order) {
        if (kind == "call") continue;
        if (figure.judged_calls == 0 && passages(kind) == 0) {
            never += (never.empty() ? "" : ", ") + kind + printed(" (%d)", figure.sounds);
            continue;
        }
        out += "  " + in_columns(kind, 20) +
               printed("%10d %17d %7d %6.2f %% ", passages(kind), figure.judged_calls, figure.sounds,
                       100 * share_of(figure)) +
               bar(share_of(figure), 10);
        out.erase(out.find_last_not_of(' ') + 1);
        out += "\n";
    }
    if (!never.empty()) out += wrapped("  never: " + never, 9);
    const auto calls = result.classes.find("call");
    if (calls != result.classes.end()) {
        out += printed("  sounds that are calls: %d of %d judged so, %.1f %%\n", calls->second.judged_calls,
                       calls->second.sounds, 100 * share_of(calls->second));
    }
    return out;
}

std::string missed(const TuningResult& result) {
    constexpr std::size_t kShown = 12;
    std::string out = heading("Whose calls it misses most");
    out += wrapped("Recordings by the share of their sounds, at 5 dB and better, that were not judged calls.",
                   0);
    out += "\n";
    std::vector<Named> order(result.recordings.begin(), result.recordings.end());
    std::stable_sort(order.begin(), order.end(),
                     [](const Named& a, const Named& b) { return share_of(a.second) < share_of(b.second); });
    for (std::size_t i = 0; i < std::min(kShown, order.size()); ++i) {
        const ClassFigure& figure = order[i].second;
        if (figure.judged_calls == figure.sounds) break;
        out += "  " + in_columns(order[i].first, 34) +
               printed(" missed %4d of %4d ", figure.sounds - figure.judged_calls, figure.sounds) +
               bar(1 - share_of(figure), 20);
        out.erase(out.find_last_not_of(' ') + 1);
        out += "\n";
    }
    if (order.size() > kShown) {
        ClassFigure rest;
        for (std::size_t i = kShown; i < order.size(); ++i) {
            rest.sounds += order[i].second.sounds;
            rest.judged_calls += order[i].second.judged_calls;
        }
        out += printed("  the other %zu: missed %d of %d\n", order.size() - kShown,
                       rest.sounds - rest.judged_calls, rest.sounds);
    }
    return out;
}

std::string worth(const TuningResult& result, const TuningOptions& options) {
    std::vector<std::pair<double, std::size_t>> order;
    for (const auto& [measure, loss] : result.losses) order.emplace_back(loss, measure);
    std::stable_sort(order.begin(), order.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    std::string out = heading("What each measure is worth");
    out += wrapped(printed("Percentage points of vocal passages no longer heard, all levels together, when a "
                           "measure's points are taken away and %.3g %% of quiet passages are still called "
                           "vocal. Those under 0 cost more than they give, here.",
                           100 * options.most_false_alarms),
                   0);
    for (const auto& [loss, measure] : order) {
        out +=
            wrapped(printed("  %+6.1f  %-22s ", 100 * loss, std::string(measure_info(measure).id).c_str()) +
                        measure_in_words(measure),
                    33);
    }
    return out;
}

} // namespace

std::string report_of(const TuningResult& result, const TuningOptions& options) {
    const Scorecard& card = result.profile.cards.front();
    std::string out =
        printed("%s, seed %llu: %zu terms, a call from %.3f points\n", result.profile.name.c_str(),
                static_cast<unsigned long long>(options.corpus.seed), card.terms.size(), card.cut);
    out += wrapped(printed("Heard %.1f h of simulated shifts, %zu passages; of %d calls placed in them, %d "
                           "were found as sounds.",
                           result.hours, result.passages, result.calls, result.calls_found),
                   0);
    out += figures(result, options);
    if (!result.by_snr.empty()) out += curves(result, options);
    out += trust(result, options);
    out += confusions(result);
    out += missed(result);
    out += heading("How it decides");
    out += terms_in_words(card, result.gains);
    return out + worth(result, options);
}

std::string about_of(const TuningResult& result) {
    std::string out =
        printed("Trained on %.0f h of simulated shifts. On recordings not trained on:", result.hours);
    for (const auto& [snr_db, counted] : result.by_snr) {
        out += printed(" %.0f dB: %.0f %% of %d vocal passages heard;", snr_db, 100 * counted.sensitivity(),
                       counted.vocal);
    }
    return out + printed(" false alarms in %.2f %% of %d quiet passages.",
                         100 * result.quiet.false_alarm_rate(), result.quiet.quiet);
}

} // namespace quietpass::tuning
