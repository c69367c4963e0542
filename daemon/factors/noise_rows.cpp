#include "daemon/factors/noise_rows.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "classifiers/statistics/fisher_exact.h"

namespace quietpass {

namespace {

constexpr double kAfter_s = 1.0;

struct Stretch {
    double start_s = 0.0;
    double end_s = 0.0;
};

// When the noises of a passage have just been heard, within it, in order and joined where they overlap.
std::vector<Stretch> just_after(const PassageFacts& passage, bool hiss, double least_db,
                                const Stretch& heard) {
    std::vector<Stretch> stretches;
    for (const SpanNoise& noise : passage.row.noises) {
        if (noise.hiss != hiss || noise.level_db < least_db) continue;
        const double end_s = (hiss ? noise.end_s : noise.time_s) + kAfter_s;
        const Stretch stretch{std::max(noise.time_s, heard.start_s), std::min(end_s, heard.end_s)};
        if (stretch.end_s > stretch.start_s) stretches.push_back(stretch);
    }
    std::sort(stretches.begin(), stretches.end(),
              [](const Stretch& a, const Stretch& b) { return a.start_s < b.start_s; });
    std::vector<Stretch> joined;
    for (const Stretch& stretch : stretches) {
        if (!joined.empty() && stretch.start_s <= joined.back().end_s) {
            joined.back().end_s = std::max(joined.back().end_s, stretch.end_s);
        } else {
            joined.push_back(stretch);
        }
    }
    return joined;
}

struct Seconds {
    double all_s = 0.0;
    double after_s = 0.0;
    std::int64_t calls = 0;
    std::int64_t calls_after = 0;
};

Seconds counted(std::span<const PassageFacts> facts, bool hiss, double least_db) {
    Seconds sum;
    for (const PassageFacts& passage : facts) {
        if (!passage.scored()) continue;
        const Passage& times = passage.row.passage;
        const Stretch heard{times.entered_s, std::isnan(times.stunned_s) ? times.end_s : times.stunned_s};
        const std::vector<Stretch> after = just_after(passage, hiss, least_db, heard);
        sum.all_s += std::max(0.0, heard.end_s - heard.start_s);
        for (const Stretch& stretch : after) sum.after_s += stretch.end_s - stretch.start_s;
        for (const SpanCall& call : passage.row.calls) {
            if (call.start_s < heard.start_s || call.start_s > heard.end_s) continue;
            ++sum.calls;
            const bool is_after = std::any_of(after.begin(), after.end(), [&](const Stretch& stretch) {
                return stretch.start_s < call.start_s && call.start_s <= stretch.end_s;
            });
            if (is_after) ++sum.calls_after;
        }
    }
    return sum;
}

std::optional<FactorRow> row_of(std::span<const PassageFacts> facts, bool hiss,
                                const std::optional<double>& least_db, double confidence) {
    constexpr double kAny_db = -1000.0;
    const Seconds sum = counted(facts, hiss, least_db.value_or(kAny_db));
    if (sum.after_s <= 0.0) return std::nullopt;
    // At most one call begins in a second, near enough.
    const auto seconds = [](double length_s, std::int64_t calls) {
        return evaluation::Rate{calls, std::max<std::int64_t>(calls, std::llround(length_s))};
    };
    FactorRow row;
    row.factor = hiss ? "hiss_before" : "bang_before";
    row.unit = "seconds";
    row.level = "any";
    if (least_db) {
        char text[48];
        std::snprintf(text, sizeof text, "%g dB or more", *least_db);
        row.level = text;
    }
    row.group = seconds(sum.after_s, sum.calls_after);
    row.rest = seconds(sum.all_s - sum.after_s, sum.calls - sum.calls_after);
    row.interval = wilson_interval(row.group.k, row.group.n, confidence);
    row.ratio = statistics::risk_ratio(row.group, row.rest, confidence);
    row.fisher_p = statistics::fisher_exact(row.group, row.rest);
    return row;
}

} // namespace

std::vector<FactorRow> noise_rows(std::span<const PassageFacts> facts, const FactorSettings& settings) {
    std::vector<FactorRow> rows;
    for (const bool hiss : {false, true}) {
        const auto& least_db = hiss ? settings.least_hiss_db : settings.least_bang_db;
        if (const auto row = row_of(facts, hiss, least_db, settings.confidence)) rows.push_back(*row);
    }
    return rows;
}

} // namespace quietpass
