#include "daemon/factors/factors.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <optional>
#include <string_view>

#include "classifiers/statistics/fisher_exact.h"

namespace quietpass {

namespace {

using evaluation::Rate;

// A value of a factor: how it sorts, and its words where they are more than its number says. Words are made
// once a value, not once a passage: a month has a hundred thousand of these.
struct Level {
    double order = 0.0;
    std::string_view words;
    bool operator<(const Level& other) const {
        return order != other.order ? order < other.order : words < other.words;
    }
};

std::string number(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%g", value);
    return text;
}

// Which band a value is in, by its number.
Level band_of(double value, const std::vector<double>& edges) {
    return {static_cast<double>(std::upper_bound(edges.begin(), edges.end(), value) - edges.begin()), {}};
}

std::string words_of_band(double order, const std::vector<double>& edges, const std::string& unit) {
    const auto above = static_cast<std::size_t>(order);
    if (above == 0) return "under " + number(edges.front()) + unit;
    if (above == edges.size()) return number(edges.back()) + unit + " or more";
    return number(edges[above - 1]) + " to " + number(edges[above]) + unit;
}

constexpr int kFew = 3;

Level few_of(int count) {
    return {static_cast<double>(std::min(count, kFew)), {}};
}

std::string words_of_few(double order) {
    return order >= kFew ? "3 or more" : number(order);
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

// level_of: of one passage, nothing when it is not known. words_of: of a level.
template <typename LevelOf, typename WordsOf>
void add_rows(std::vector<FactorRow>& rows, const std::string& factor, std::span<const PassageFacts> facts,
              const FactorSettings& settings, const LevelOf& level_of, const WordsOf& words_of) {
    std::map<Level, Rate> levels;
    Rate known;
    for (const PassageFacts& passage : facts) {
        if (!passage.scored()) continue;
        const std::optional<Level> level = level_of(passage);
        if (!level) continue;
        const bool vocal = is_vocal(passage, settings);
        count(known, vocal);
        count(levels[*level], vocal);
    }
    if (levels.size() < 2) return;
    for (const auto& [level, group] : levels) {
        const Rate rest{known.k - group.k, known.n - group.n};
        rows.push_back(row_of(factor, words_of(level), group, rest, settings.confidence));
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
    using Known = std::optional<Level>;
    std::vector<FactorRow> rows;
    const auto add = [&](const std::string& factor, const auto& level_of, const auto& words_of) {
        add_rows(rows, factor, facts, settings, level_of, words_of);
    };
    const auto few_words = [](const Level& level) { return words_of_few(level.order); };
    add(
        "hold_time",
        [&](const PassageFacts& passage) {
            return passage.held_for_s ? Known(band_of(*passage.held_for_s, settings.hold_edges_s)) : Known();
        },
        [&](const Level& level) { return words_of_band(level.order, settings.hold_edges_s, " s"); });
    add(
        "prods", [](const PassageFacts& passage) { return Known(few_of(passage.row.passage.prods)); },
        few_words);
    add(
        "second_stun",
        [](const PassageFacts& passage) {
            return Known({passage.row.passage.stuns > 1 ? 1.0 : 0.0, {}});
        },
        [](const Level& level) { return std::string(level.order > 0.0 ? "yes" : "no"); });
    add(
        "bangs_held",
        [](const PassageFacts& passage) {
            const std::optional<int>& bangs = passage.row.passage.bangs;
            return bangs ? Known(few_of(*bangs)) : Known();
        },
        few_words);
    add(
        "line_rate",
        [&](const PassageFacts& passage) {
            if (!passage.line_rate_per_hour) return Known();
            return Known(band_of(*passage.line_rate_per_hour, settings.rate_edges_per_hour));
        },
        [&](const Level& level) { return words_of_band(level.order, settings.rate_edges_per_hour, "/h"); });
    add(
        "hour_of_shift",
        [](const PassageFacts& passage) {
            return Known({static_cast<double>(passage.hour_of_shift), {}});
        },
        [](const Level& level) { return std::to_string(std::llround(level.order)); });
    add(
        "lot",
        [](const PassageFacts& passage) {
            return passage.lot ? Known({0.0, *passage.lot}) : Known();
        },
        [](const Level& level) { return std::string(level.words); });
    add_notes(rows, facts, settings);
    return rows;
}

} // namespace quietpass
