#include "classifiers/tuning/second_cards.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <utility>

#include "classifiers/scorecard.h"
#include "classifiers/tuning/species_defaults.h"

namespace quietpass::tuning {

bool is_made_bugle(const LabelledSound& sound) {
    // The lowest bugle less what its arch and slope take off it.
    return sound.label == SpanLabel::kCall && sound.recording.empty() &&
           sound.measures[kVoiceF0HighHz] > 650.0F;
}

std::optional<Scorecard> voice_range_card(const VoiceRange& range,
                                          const std::vector<const LabelledSound*>& sounds,
                                          TrainingSettings settings) {
    constexpr float kNoLimit = std::numeric_limits<float>::infinity();
    constexpr int kEnough = 30; // of each side: fewer teach nothing that holds
    Scorecard gated;
    gated.kind = range.kind;
    gated.gates = {
        {kVoiceS, static_cast<float>(range.shortest_s), kNoLimit},
        {kVoiceF0HighHz, static_cast<float>(range.lowest_hz), static_cast<float>(range.highest_hz)}};
    std::vector<const LabelledSound*> within;
    int calls = 0;
    int others = 0;
    for (const LabelledSound* sound : sounds) {
        if (!within_gates(gated, sound->measures) || sound->label == SpanLabel::kIgnore) continue;
        within.push_back(sound);
        ++(sound->label == SpanLabel::kCall ? calls : others);
    }
    if (calls < kEnough || others < kEnough) return std::nullopt;
    settings.terms = 60;
    settings.depth = 1;
    Scorecard card = train_scorecard(within, SpanLabel::kCall, settings).card;
    card.kind = gated.kind;
    card.gates = gated.gates;
    return card;
}

Scorecard grunt_card(const std::vector<const LabelledSound*>& sounds, TrainingSettings settings) {
    settings.terms = 12;
    settings.depth = 1;
    settings.weighing_rounds = 200;
    Scorecard card = train_scorecard(sounds, SpanLabel::kGrunt, settings).card;
    card.kind = CallKind::kGrunt;
    card.gates = gates_for(Species::kPig);
    std::vector<std::pair<double, bool>> scores;
    double all = 0.0;
    for (const LabelledSound* sound : sounds) {
        if (sound->label == SpanLabel::kIgnore || sound->label == SpanLabel::kCall) continue;
        scores.emplace_back(score_of(card, sound->measures), sound->label == SpanLabel::kGrunt);
        all += sound->label == SpanLabel::kGrunt ? 1 : 0;
    }
    std::sort(scores.begin(), scores.end(), std::greater<>());
    double hits = 0.0;
    double best = -1.0;
    for (std::size_t i = 0; i < scores.size(); ++i) {
        hits += scores[i].second ? 1 : 0;
        const double f1 = 2 * hits / (static_cast<double>(i + 1) + all);
        if (f1 > best) {
            best = f1;
            card.cut = std::floor(scores[i].first * 1000) / 1000;
        }
    }
    return card;
}

} // namespace quietpass::tuning
