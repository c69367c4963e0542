#include "daemon/changes/comparison.h"

#include <algorithm>
#include <cmath>

#include "classifiers/statistics/fisher_exact.h"

namespace quietpass {

namespace {

void measure(ComparedSide& side, double confidence) {
    side.interval = wilson_interval(side.vocal.k, side.vocal.n, confidence);
    side.allowing_for_lots = statistics::cluster_share(side.lots, confidence);
}

// As Newcombe's method 10, from intervals that allow for lots: G. Y. Zou, A. Donner, Stat. Med. 27 (2008)
// 1693.
std::optional<Interval> difference_by_lots(const ComparedSide& before, const ComparedSide& after) {
    if (!before.allowing_for_lots || !after.allowing_for_lots) return std::nullopt;
    const double p1 = *after.vocal.value();
    const double p2 = *before.vocal.value();
    const Interval& a = after.allowing_for_lots->interval;
    const Interval& b = before.allowing_for_lots->interval;
    return Interval{p1 - p2 - std::hypot(p1 - a.low, b.high - p2),
                    p1 - p2 + std::hypot(a.high - p1, p2 - b.low)};
}

} // namespace

Comparison compare(ComparedSide before, ComparedSide after, const ComparisonWish& wish) {
    Comparison out;
    measure(before, wish.confidence);
    measure(after, wish.confidence);
    out.before = before;
    out.after = after;
    out.showing = wish.showing;
    out.difference = statistics::newcombe_difference(after.vocal, before.vocal, wish.confidence);
    out.difference_allowing_for_lots = difference_by_lots(before, after);
    out.fisher_p = statistics::fisher_exact(before.vocal, after.vocal);
    out.shown = out.difference && out.fisher_p < wish.showing.level;

    const std::optional<double> share = before.vocal.value();
    out.hoped_share = wish.hoped_share;
    if (!out.hoped_share && share && *share > 0.0) out.hoped_share = *share / 2.0;
    if (!share || !out.hoped_share) return out;
    out.needed_each = statistics::animals_needed_each(*share, *out.hoped_share, wish.showing);
    const auto after_needed =
        statistics::animals_needed_after(before.vocal.n, *share, *out.hoped_share, wish.showing);
    if (after_needed) {
        out.needed_more_after = std::max<std::int64_t>(0, *after_needed - after.vocal.n);
    }
    return out;
}

} // namespace quietpass
