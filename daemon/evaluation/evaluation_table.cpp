#include "daemon/evaluation/evaluation_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

namespace quietpass {

namespace {

using namespace evaluation;

constexpr std::size_t kMostShifts = 20; // shares.csv has all

// "70.0 % (62.2–76.8)", or a dash where nothing was seen.
std::string percent(const Rate& rate, const std::optional<Interval>& interval, int most_decimals = 2) {
    if (!rate.value() || !interval) return "-";
    const double value = 100.0 * *rate.value();
    const int decimals = value < 10.0 ? most_decimals : 1;
    return fmt::format("{:.{}f} % ({:.{}f}-{:.{}f})", value, decimals, 100.0 * interval->low, decimals,
                       100.0 * interval->high, decimals);
}

std::string counts(const Rate& rate) {
    return fmt::format("{}/{}", rate.k, rate.n);
}

std::string share(const std::optional<double>& value, const std::optional<Interval>& interval) {
    if (!value) return "-";
    if (!interval) return fmt::format("{:.3f}", *value);
    return fmt::format("{:.3f} ({:.2f}-{:.2f})", *value, interval->low, interval->high);
}

std::string range(const std::optional<Interval>& interval) {
    return interval ? fmt::format("{:.2f}-{:.2f}", interval->low, interval->high) : "-";
}

std::string name_of(const FigureRow& row) {
    if (row.by == "all") return "all";
    if (row.by == "snr") return row.group + " dB";
    if (row.by == "fold") return "fold " + row.group;
    return row.group;
}

Rate false_rate(const Confusion& counts) {
    return {counts.false_positives, counts.negatives()};
}

std::optional<Interval> turned(const std::optional<Interval>& interval) {
    if (!interval) return std::nullopt;
    return Interval{1.0 - interval->high, 1.0 - interval->low};
}

// Sensitivity and false positives in the first part, the rest in the second, so that 80 columns hold it.
std::string quiet_told_apart(const std::vector<FigureRow>& rows, const std::string& title) {
    std::string out = fmt::format("\n{:<11}{:>8} {:<20} {:>8} {:<19} {}\n", title, "heard", "sensitivity",
                                  "false", "of quiet", "F1");
    for (const FigureRow& row : rows) {
        const Confusion& c = row.figures.counts;
        out += fmt::format("{:<11}{:>8} {:<20} {:>8} {:<19} {}\n", "  " + name_of(row),
                           counts(c.sensitivity()), percent(c.sensitivity(), row.figures.sensitivity),
                           counts(false_rate(c)), percent(false_rate(c), turned(row.figures.specificity)),
                           c.f1() ? fmt::format("{:.3f}", *c.f1()) : "-");
    }
    out += fmt::format("\n{:<12}{:<21} {:<13}{:<15}{:<9}{}\n", "", "precision", "F1 (F*)", "by recording",
                       "kappa", "PABAK");
    for (const FigureRow& row : rows) {
        const Confusion& c = row.figures.counts;
        out += fmt::format("{:<12}{:<21} {:<13}{:<15}{:<9}{}\n", "  " + name_of(row),
                           percent(c.precision(), row.figures.precision), range(row.figures.f1),
                           range(row.figures.by_cluster.f1), share(c.kappa(), std::nullopt),
                           share(c.pabak(), std::nullopt));
    }
    return out;
}

std::string only_calls(const std::vector<FigureRow>& rows, const std::string& title) {
    std::string out = fmt::format("\n{:<12}{:>10} {:<20} {:>6} {:<20} {}\n", title, "heard", "sensitivity",
                                  "false", "precision", "F1");
    for (const FigureRow& row : rows) {
        const Confusion& c = row.figures.counts;
        // False calls can't be told apart by phase.
        const bool phase = row.by == "phase";
        out += fmt::format("{:<12}{:>10} {:<20} {:>6} {:<20} {}\n", "  " + name_of(row),
                           counts(c.sensitivity()), percent(c.sensitivity(), row.figures.sensitivity),
                           phase ? "" : std::to_string(c.false_positives),
                           phase ? "" : percent(c.precision(), row.figures.precision),
                           phase ? "" : share(c.f1(), std::nullopt));
    }
    return out;
}

std::string last_part(const std::string& path) {
    std::filesystem::path name(path);
    if (!name.has_filename()) name = name.parent_path();
    if (name.filename() == "scored" && name.has_parent_path()) name = name.parent_path();
    std::string out = name.filename().string();
    if (out.size() > 17) out.replace(16, std::string::npos, "~");
    return out;
}

std::string shares(const Evaluation& evaluation) {
    std::string out = fmt::format("\n{:<19}{:>8}{:>7}  {:<19}{:>7} {}\n", "Shift", "judged", "true %",
                                  "called vocal", "error", "corrected");
    std::size_t shown = 0;
    for (const ShareRow& row : evaluation.shares) {
        if (!row.shift.empty() && ++shown > kMostShifts) continue;
        const auto value = row.true_share();
        out += fmt::format(
            "{:<19}{:>8}{:>7}  {:<19}{:>7} {}\n", "  " + (row.shift.empty() ? "all" : last_part(row.shift)),
            row.called.n, value ? fmt::format("{:.2f}", 100.0 * *value) : "-",
            percent(row.called, row.interval, 1),
            row.error_points() ? fmt::format("{:+.2f}", *row.error_points()) : "-",
            row.corrected
                ? fmt::format("{:.1f} ({:.1f}-{:.1f})", 100.0 * row.corrected->share,
                              100.0 * row.corrected->interval.low, 100.0 * row.corrected->interval.high)
                : "-");
    }
    if (shown > kMostShifts) out += fmt::format("  ({} more shifts)\n", shown - kMostShifts);
    if (!evaluation.rates_from.empty()) out += "  corrected with " + evaluation.rates_from + "\n";
    return out;
}

std::string confounders(const Evaluation& evaluation) {
    std::string out;
    for (const ConfounderRow& row : evaluation.confounders) {
        if (row.false_calls == 0 && row.quiet_passages == 0) continue;
        const bool counted = row.called.n > 0;
        out += fmt::format("{:<18}{:>14}{:>13}{:>15} {}\n", "  " + (row.kind.empty() ? "nothing" : row.kind),
                           row.quiet_passages, row.false_calls, counted ? counts(row.called) : "",
                           counted ? percent(row.called, row.interval) : "");
    }
    if (out.empty()) return out;
    return fmt::format("\n{:<18}{:>14}{:>13}{:>15} {}\n", "Taken for calls", "made vocal", "false calls",
                       "sounds called", "share") +
           out;
}

std::string classes(const Evaluation& evaluation) {
    std::string out = fmt::format("\n{:<18}{:>10} {:<22}{}\n", "Clips by class", "called", "share of clips",
                                  "recordings called");
    Rate never;
    std::size_t classes_never = 0;
    for (const ClassRow& row : evaluation.classes) {
        if (!row.is_call && row.clips.k == 0) {
            ++classes_never;
            never.n += row.clips.n;
            continue;
        }
        out += fmt::format("{:<18}{:>10} {:<22}{}\n", (row.is_call ? "* " : "  ") + row.kind,
                           counts(row.clips), percent(row.clips, row.interval), counts(row.recordings));
    }
    if (classes_never > 0) {
        out +=
            fmt::format("  {} more{:>{}} {}\n", classes_never, counts(never), classes_never < 10 ? 20 : 19,
                        percent(never, wilson_interval(never.k, never.n, evaluation.bootstrap.confidence)));
    }
    return out + "  * the class of calls\n";
}

std::vector<FigureRow> of_unit(const Evaluation& evaluation, const std::string& unit) {
    std::vector<FigureRow> rows;
    for (const FigureRow& row : evaluation.figures) {
        if (row.unit == unit) rows.push_back(row);
    }
    return rows;
}

std::string without_trailing_blanks(const std::string& text) {
    std::string out;
    for (const char letter : text) {
        if (letter == '\n') out.erase(out.find_last_not_of(' ') + 1);
        out += letter;
    }
    return out;
}

std::string passages_told(const Evaluation& evaluation) {
    const auto count = [&](Standing standing) {
        return std::count_if(evaluation.passages.begin(), evaluation.passages.end(),
                             [&](const JudgedPassage& passage) { return passage.standing == standing; });
    };
    std::string out = fmt::format("{} shift{}, {} passages judged", evaluation.shifts.size(),
                                  evaluation.shifts.size() == 1 ? "" : "s", count(Standing::kJudged));
    const auto apart = [&](Standing standing, const char* words) {
        if (const auto n = count(standing); n > 0) out += fmt::format("; {} {}", n, words);
    };
    apart(Standing::kNotCovered, "not covered");
    apart(Standing::kNoTruth, "without a truth");
    apart(Standing::kNotInRecord, "not in the record");
    return out + "\n";
}

std::string clips_told(const Evaluation& evaluation) {
    const auto apart = std::count_if(evaluation.judged_clips.begin(), evaluation.judged_clips.end(),
                                     [](const JudgedClip& clip) { return clip.set_apart; });
    const std::size_t judged = evaluation.judged_clips.size() - static_cast<std::size_t>(apart);
    return fmt::format("{} clips judged, {} set apart; {}\n", judged, apart,
                       evaluation.profiles.size() > 1
                           ? fmt::format("each by the profile of its fold of {}", evaluation.profiles.size())
                           : "all by one profile");
}

} // namespace

std::string evaluation_table(const Evaluation& evaluation) {
    std::string out;
    if (!evaluation.species.empty()) out += evaluation.species + "\n";
    if (!evaluation.shifts.empty()) {
        out += passages_told(evaluation);
        out += quiet_told_apart(of_unit(evaluation, "passage"), "Passages");
        const auto events = of_unit(evaluation, "event");
        if (!events.empty()) {
            out += only_calls(events, "Calls");
            out += confounders(evaluation);
        }
        out += shares(evaluation);
    }
    if (!evaluation.judged_clips.empty()) {
        if (!evaluation.shifts.empty()) out += "\n";
        out += clips_told(evaluation);
        out += quiet_told_apart(of_unit(evaluation, "clip"), "Clips");
        out += quiet_told_apart(of_unit(evaluation, "recording"), "Recordings");
        out += only_calls(of_unit(evaluation, "clip_event"), "Calls");
        out += classes(evaluation);
    }
    return without_trailing_blanks(out) +
           "\nIn brackets and ranges: 95 % intervals. Where animals of a lot or calls of a\n"
           "recording resemble each other they are too narrow, except \"by recording\".\n";
}

} // namespace quietpass
