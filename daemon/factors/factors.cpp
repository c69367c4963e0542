#include "daemon/factors/factors.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>
#include <map>

#include "classifiers/statistics/fisher_exact.h"

namespace quietpass {

namespace {

using evaluation::Rate;

// A value of a factor: how it sorts, and its words.
struct Level {
    double order = 0.0;
    std::string words;
    bool operator<(const Level& other) const {
        return order != other.order ? order < other.order : words < other.words;
    }
};

// The values of one passage: none when it is not known; several notes may hold at once.
using LevelsOf = std::function<std::vector<Level>(const PassageFacts&)>;

std::string number(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%g", value);
    return text;
}

Level band_of(double value, const std::vector<double>& edges, const std::string& unit) {
    const auto above = std::upper_bound(edges.begin(), edges.end(), value);
    const auto order = static_cast<double>(above - edges.begin());
    if (above == edges.begin()) return {order, "under " + number(edges.front()) + unit};
    if (above == edges.end()) return {order, number(edges.back()) + unit + " or more"};
    return {order, number(*(above - 1)) + " to " + number(*above) + unit};
}

Level few_of(int count) {
    constexpr int kMost = 3;
    if (count >= kMost) return {kMost, "3 or more"};
    return {static_cast<double>(count), std::to_string(count)};
}

bool reached(const Passage& passage, Phase phase) {
    if (phase == Phase::kBodyHeld) return !std::isnan(passage.body_held_s);
    if (phase == Phase::kHeld) return !std::isnan(passage.held_s);
    if (phase == Phase::kAtStun) return !std::isnan(passage.stunned_s);
    return true;
}

bool is_vocal(const PassageFacts& facts, const FactorSettings& settings) {
    return settings.phase ? facts.vocal_in_phase(*settings.phase) : facts.vocal();
}

void count(Rate& rate, bool vocal) {
    ++rate.n;
    if (vocal) ++rate.k;
}

FactorRow row_of(const std::string& factor, const std::string& level, const Rate& group, const Rate& rest,
                 double confidence) {
    return {factor,
            level,
            "passages",
            group,
            wilson_interval(group.k, group.n, confidence),
            rest,
            statistics::risk_ratio(group, rest, confidence),
            statistics::fisher_exact(group, rest)};
}

void add_rows(std::vector<FactorRow>& rows, const std::string& factor, std::span<const PassageFacts> facts,
              const FactorSettings& settings, const LevelsOf& levels_of) {
    std::map<Level, Rate> levels;
    Rate known;
    for (const PassageFacts& passage : facts) {
        if (!passage.scored()) continue;
        const std::vector<Level> values = levels_of(passage);
        if (values.empty()) continue;
        const bool vocal = is_vocal(passage, settings);
        count(known, vocal);
        for (const Level& value : values) count(levels[value], vocal);
    }
    if (levels.size() < 2) return;
    for (const auto& [level, group] : levels) {
        const Rate rest{known.k - group.k, known.n - group.n};
        rows.push_back(row_of(factor, level.words, group, rest, settings.confidence));
    }
}

// A note holds or not: each text is a factor with two values, of which only the one with it is a row.
void add_notes(std::vector<FactorRow>& rows, std::span<const PassageFacts> facts,
               const FactorSettings& settings) {
    std::map<std::string, Rate> notes;
    Rate dated;
    for (const PassageFacts& passage : facts) {
        if (!passage.scored() || !passage.row.entered_utc_ns) continue;
        const bool vocal = is_vocal(passage, settings);
        count(dated, vocal);
        for (const std::string& note : passage.notes) count(notes[note], vocal);
    }
    for (const auto& [note, group] : notes) {
        const Rate rest{dated.k - group.k, dated.n - group.n};
        if (rest.n > 0) rows.push_back(row_of("note", note, group, rest, settings.confidence));
    }
}

} // namespace

std::vector<PhaseRow> phase_rows(std::span<const PassageFacts> facts, const FactorSettings& settings) {
    std::vector<PhaseRow> rows;
    for (const Phase phase : kCountedPhases) {
        PhaseRow row;
        row.phase = phase;
        bool seen = false;
        for (const PassageFacts& passage : facts) {
            if (!passage.scored()) continue;
            count(row.vocal, passage.vocal_in_phase(phase));
            seen = seen || reached(passage.row.passage, phase);
        }
        if (!seen) continue;
        row.interval = wilson_interval(row.vocal.k, row.vocal.n, settings.confidence);
        rows.push_back(row);
    }
    return rows;
}

std::vector<FactorRow> factor_rows(std::span<const PassageFacts> facts, const FactorSettings& settings) {
    using Levels = std::vector<Level>;
    std::vector<FactorRow> rows;
    const auto add = [&](const std::string& factor, const LevelsOf& levels_of) {
        add_rows(rows, factor, facts, settings, levels_of);
    };
    add("hold_time", [&](const PassageFacts& passage) {
        if (!passage.held_for_s) return Levels{};
        return Levels{band_of(*passage.held_for_s, settings.hold_edges_s, " s")};
    });
    add("prods", [](const PassageFacts& passage) { return Levels{few_of(passage.row.passage.prods)}; });
    add("second_stun", [](const PassageFacts& passage) {
        const bool again = passage.row.passage.stuns > 1;
        return Levels{{again ? 1.0 : 0.0, again ? "yes" : "no"}};
    });
    add("bangs_held", [](const PassageFacts& passage) {
        const std::optional<int>& bangs = passage.row.passage.bangs;
        return bangs ? Levels{few_of(*bangs)} : Levels{};
    });
    add("line_rate", [&](const PassageFacts& passage) {
        if (!passage.line_rate_per_hour) return Levels{};
        return Levels{band_of(*passage.line_rate_per_hour, settings.rate_edges_per_hour, "/h")};
    });
    add("hour_of_shift", [](const PassageFacts& passage) {
        return Levels{{static_cast<double>(passage.hour_of_shift), std::to_string(passage.hour_of_shift)}};
    });
    add("lot", [](const PassageFacts& passage) {
        if (!passage.lot) return Levels{};
        return Levels{{0.0, *passage.lot}};
    });
    add_notes(rows, facts, settings);
    return rows;
}

} // namespace quietpass
