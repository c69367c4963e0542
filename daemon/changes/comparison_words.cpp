#include <fmt/format.h>

#include <cmath>

#include "daemon/changes/comparison.h"

namespace quietpass {

namespace {

std::string counted(const evaluation::Rate& rate) {
    return fmt::format("{} of {}", rate.k, rate.n);
}

std::string percent(double share) {
    std::string text = fmt::format("{:.1f}", 100.0 * share);
    if (text.ends_with(".0")) text.resize(text.size() - 2);
    return text + " %";
}

// "80 times in 100"
std::string of_hundred(double share) {
    return fmt::format("{} times in 100", std::lround(100.0 * share));
}

std::string p_text(double p) {
    return p < 0.001 ? "p < 0.001" : fmt::format("p = {:.3f}", p);
}

void add_what_was_seen(const Comparison& comparison, std::vector<std::string>& lines) {
    const std::string pair = counted(comparison.before.vocal) + " to " + counted(comparison.after.vocal);
    if (comparison.shown) {
        lines.push_back(
            pair + " is shown: chance alone would part them so far or further " +
            (comparison.fisher_p < 0.001
                 ? "in less than 1 of 1,000 such pairs"
                 : fmt::format("in {} of 1,000 such pairs", std::lround(1000.0 * comparison.fisher_p))) +
            " (Fisher's exact test, " + p_text(comparison.fisher_p) + ").");
        lines.push_back(
            "It shows that the share differs, not that this change did it: whatever else differed between "
            "the two windows (animals, staff, weather) may have.");
        return;
    }
    lines.push_back(pair + " is not shown: it can be chance (Fisher's exact test, " +
                    p_text(comparison.fisher_p) +
                    fmt::format("; under {:g} counts as shown).", comparison.showing.level));
    lines.push_back("Not shown does not mean that nothing changed: these passages can't tell.");
}

void add_what_it_takes(const Comparison& comparison, std::vector<std::string>& lines) {
    if (!comparison.hoped_share) {
        lines.push_back("Nobody was vocal before, so there is no drop to hope for.");
        return;
    }
    if (!comparison.needed_each) {
        lines.push_back("The share hoped for is the one before: there is nothing to show.");
        return;
    }
    lines.push_back(fmt::format("A change from {} to {} would be found {} with {} passages on each side.",
                                percent(*comparison.before.vocal.value()), percent(*comparison.hoped_share),
                                of_hundred(comparison.showing.power), *comparison.needed_each));
    if (!comparison.needed_more_after) {
        lines.push_back(fmt::format(
            "With the {} before, no number of passages after is enough: take a longer window before.",
            comparison.before.vocal.n));
    } else if (*comparison.needed_more_after == 0) {
        lines.push_back("There are as many: a change of that size would most likely have been found.");
    } else {
        lines.push_back(fmt::format("With the {} before, {} more after would do.", comparison.before.vocal.n,
                                    *comparison.needed_more_after));
    }
}

void add_lots(const Comparison& comparison, std::vector<std::string>& lines) {
    if (!comparison.difference_allowing_for_lots) {
        lines.push_back(
            "Animals of one lot are not independent, and lots are not known well enough here to allow for "
            "it: the true intervals are wider and p is larger.");
        return;
    }
    const Interval& interval = *comparison.difference_allowing_for_lots;
    const bool holds_zero = interval.low <= 0.0 && interval.high >= 0.0;
    lines.push_back(fmt::format(
        "Allowing for lots that differ ({} before, {} after), the difference is between {:+.1f} and {:+.1f} "
        "points{}.",
        comparison.before.allowing_for_lots->lots, comparison.after.allowing_for_lots->lots,
        100.0 * interval.low, 100.0 * interval.high,
        holds_zero && comparison.shown ? ": then it is not shown, it may be the lots" : ""));
}

} // namespace

std::vector<std::string> words_of(const Comparison& comparison) {
    std::vector<std::string> lines;
    if (!comparison.difference) {
        const bool none_before = comparison.before.vocal.n == 0;
        lines.push_back(std::string("No scored passages ") + (none_before ? "before" : "after") +
                        " in this window: nothing can be compared.");
        return lines;
    }
    add_what_was_seen(comparison, lines);
    add_what_it_takes(comparison, lines);
    add_lots(comparison, lines);
    return lines;
}

} // namespace quietpass
