#include "classifiers/scorecard.h"

#include <algorithm>
#include <cstdio>
#include <vector>

#include "classifiers/profile_text.h"

namespace quietpass {

namespace {

bool all_hold(const std::vector<Condition>& conditions, const MeasureRow& measures) noexcept {
    return std::ranges::all_of(conditions, [&](const Condition& c) { return holds(c, measures); });
}

} // namespace

bool holds(const Condition& condition, const MeasureRow& measures) noexcept {
    const float value = measures[condition.measure];
    return condition.above ? value > condition.threshold : value <= condition.threshold;
}

bool within_gates(const Scorecard& card, const MeasureRow& measures) noexcept {
    return std::ranges::all_of(card.gates, [&](const Gate& gate) {
        const float value = measures[gate.measure];
        return value >= gate.low && value <= gate.high;
    });
}

double score_of(const Scorecard& card, const MeasureRow& measures) noexcept {
    double score = card.base;
    for (const Term& term : card.terms) {
        if (all_hold(term.all_of, measures)) score += term.points;
    }
    return score;
}

std::optional<Judgement> judge(const Profile& profile, const MeasureRow& measures) noexcept {
    for (std::size_t i = 0; i < profile.cards.size(); ++i) {
        const Scorecard& card = profile.cards[i];
        if (!within_gates(card, measures)) continue;
        const double score = score_of(card, measures);
        if (score < card.cut) continue;
        Judgement judgement{i, card.kind, score};
        for (const KindRule& rule : card.kind_rules) {
            if (all_hold(rule.all_of, measures)) {
                judgement.kind = rule.kind;
                break;
            }
        }
        return judgement;
    }
    return std::nullopt;
}

std::string reasons_of(const Scorecard& card, const MeasureRow& measures, std::size_t most) {
    std::vector<const Term*> given;
    for (const Term& term : card.terms) {
        if (term.points > 0.0 && all_hold(term.all_of, measures)) given.push_back(&term);
    }
    std::ranges::stable_sort(given, [](const Term* a, const Term* b) { return a->points > b->points; });
    std::string text;
    for (std::size_t i = 0; i < std::min(most, given.size()); ++i) {
        if (!text.empty()) text += "; ";
        for (std::size_t c = 0; c < given[i]->all_of.size(); ++c) {
            if (c > 0) text += " & ";
            text += words_of(given[i]->all_of[c]);
        }
        char points[32];
        std::snprintf(points, sizeof points, " %+.2g", given[i]->points);
        text += points;
    }
    return text;
}

} // namespace quietpass
