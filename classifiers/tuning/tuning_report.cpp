#include "classifiers/tuning/tuning_report.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <vector>

#include "classifiers/measures.h"

namespace quietpass::tuning {
namespace {

template <typename... Values>
std::string print(const char* format, Values... values) {
    char line[400];
    std::snprintf(line, sizeof line, format, values...);
    return line;
}

std::string words_of_all(const std::vector<Condition>& all_of) {
    std::string out;
    for (const Condition& condition : all_of) out += (out.empty() ? "" : ", and ") + plain_words(condition);
    return out;
}

std::string terms_in_words(const Scorecard& card, const std::vector<double>& gains) {
    std::vector<std::size_t> order(card.terms.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return gains[a] > gains[b]; });
    std::string out;
    for (const std::size_t i : order) {
        out += print("  %+6.2f  ", card.terms[i].points) + words_of_all(card.terms[i].all_of) + "\n";
    }
    return out;
}

using Named = std::pair<std::string, ClassFigure>;

std::vector<Named> sorted(const std::map<std::string, ClassFigure>& figures, bool most_first) {
    std::vector<Named> out(figures.begin(), figures.end());
    const auto share = [](const Named& named) {
        return static_cast<double>(named.second.judged_calls) / std::max(1, named.second.sounds);
    };
    std::stable_sort(out.begin(), out.end(), [&](const Named& a, const Named& b) {
        return most_first ? share(a) > share(b) : share(a) < share(b);
    });
    return out;
}

} // namespace

std::string plain_words(const Condition& condition) {
    const MeasureInfo& info = measure_info(condition.measure);
    std::string out(info.text);
    out += condition.above ? " over " : " at most ";
    out += print("%.4g", static_cast<double>(condition.threshold));
    if (!info.unit.empty()) out.append(" ").append(info.unit);
    return out;
}

std::string report_of(const TuningResult& result, const TuningOptions& options) {
    const Scorecard& card = result.profile.cards.front();
    std::string out =
        print("%s: %zu terms, cut %.3f, seed %llu\n", result.profile.name.c_str(), card.terms.size(),
              card.cut, static_cast<unsigned long long>(options.corpus.seed));
    out +=
        print("heard %.1f h of simulated shifts, %zu passages; a sound was found for %d of %d calls placed\n",
              result.hours, result.passages, result.calls_found, result.calls);
    out +=
        print("\nPassages of recordings not trained on (%d folds, each judged with the cut of the others):\n",
              options.corpus.folds);
    out += "  call over background   vocal   heard   sensitivity   F1 at a quarter vocal\n";
    for (const auto& [snr_db, counted] : result.by_snr) {
        PassageTally both = result.quiet;
        both.add(counted);
        out += print("  %15.0f dB   %7d %7d   %9.1f %%   %12.3f\n", snr_db, counted.vocal, counted.heard,
                     100 * counted.sensitivity(), both.f1_at(0.25));
    }
    out += print("  false alarms: %d of %d quiet passages, %.2f %%\n", result.quiet.false_alarms,
                 result.quiet.quiet, 100 * result.quiet.false_alarm_rate());
    out += "  behind them:";
    for (const auto& [kind, count] : result.false_alarms_by) out += print(" %s %d;", kind.c_str(), count);
    out += "\n\nSounds judged calls, by what they were (everything at once, not only a plant):\n";
    for (const auto& [kind, figure] : sorted(result.classes, true)) {
        out += print("  %-16s %6d of %6d  %6.2f %%\n", kind.c_str(), figure.judged_calls, figure.sounds,
                     100.0 * figure.judged_calls / std::max(1, figure.sounds));
    }
    out += "\nRecordings of calls that are heard worst (sounds at 5 dB and better):\n";
    int shown = 0;
    for (const auto& [recording, figure] : sorted(result.recordings, false)) {
        if (++shown > 15) break;
        out += print("  %-16s %5d of %5d\n", recording.c_str(), figure.judged_calls, figure.sounds);
    }
    out +=
        print("\nThe terms, strongest first (base %+.2f, a call at %.3f and above):\n", card.base, card.cut);
    return out + terms_in_words(card, result.gains);
}

std::string about_of(const TuningResult& result) {
    std::string out =
        print("Trained on %.0f h of simulated shifts. On recordings not trained on:", result.hours);
    for (const auto& [snr_db, counted] : result.by_snr) {
        out += print(" %.0f dB: %.0f %% of %d vocal passages heard;", snr_db, 100 * counted.sensitivity(),
                     counted.vocal);
    }
    return out + print(" false alarms in %.2f %% of %d quiet passages.",
                       100 * result.quiet.false_alarm_rate(), result.quiet.quiet);
}

} // namespace quietpass::tuning
