#include "classifiers/tuning/tuning.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "classifiers/scorecard.h"
#include "classifiers/tuning/second_cards.h"
#include "classifiers/tuning/species_defaults.h"

namespace quietpass::tuning {
namespace {

std::vector<const LabelledSound*> sounds_of(const std::vector<CorpusStream>& streams, int without_fold) {
    std::vector<const LabelledSound*> out;
    for (const CorpusStream& stream : streams) {
        if (stream.fold == without_fold) continue;
        for (const LabelledSound& sound : stream.heard.sounds) out.push_back(&sound);
    }
    return out;
}

// A sound that was in no fold of the training, with its score.
struct CheckedSound {
    const LabelledSound* sound = nullptr;
    double score = 0.0;
};

struct Checked {
    std::vector<ScoredPassage> passages;
    std::vector<CheckedSound> sounds;
};

void check_stream(const CorpusStream& stream, const Scorecard& card, Checked& out) {
    std::vector<ScoredPassage> passages;
    for (const SimulatedPassage& passage : stream.heard.passages) {
        passages.push_back({passage.vocal, stream.plan.as_recorded,
                            passage.vocal ? stream.plan.snr_db : std::nan(""),
                            -std::numeric_limits<double>::infinity(), stream.fold, "nothing"});
    }
    for (const LabelledSound& sound : stream.heard.sounds) {
        if (!within_gates(card, sound.measures)) continue;
        const double score = score_of(card, sound.measures);
        out.sounds.push_back({&sound, score});
        if (sound.passage < 0) continue;
        ScoredPassage& passage = passages[static_cast<std::size_t>(sound.passage)];
        if (score > passage.score) {
            passage.score = score;
            passage.kind = sound.kind;
        }
    }
    out.passages.insert(out.passages.end(), passages.begin(), passages.end());
}

std::vector<ScoredPassage> plant_passages(const std::vector<ScoredPassage>& passages, int without_fold) {
    std::vector<ScoredPassage> out;
    for (const ScoredPassage& passage : passages) {
        if (passage.plant && passage.fold != without_fold) out.push_back(passage);
    }
    return out;
}

Profile profile_of(Scorecard card, double cut, const TuningOptions& options) {
    const Species species = options.corpus.species;
    card.kind = counted_kind(species);
    card.gates = gates_for(species);
    card.kind_rules = kind_rules_for(species);
    card.cut = cut;
    Profile profile;
    profile.species = species;
    profile.name = std::string(name_of(species));
    profile.segments = options.segments;
    profile.cards.push_back(std::move(card));
    return profile;
}

void count_folds(const Checked& checked, const TuningOptions& options, TuningResult& result) {
    for (int fold = 0; fold < options.corpus.folds; ++fold) {
        if (fold == options.corpus.leave_out) continue;
        const double cut = cut_for(plant_passages(checked.passages, fold), options.most_false_alarms);
        std::map<double, std::vector<ScoredPassage>> by_snr;
        std::vector<ScoredPassage> quiet;
        for (const ScoredPassage& passage : checked.passages) {
            if (passage.fold != fold || !passage.plant) continue;
            if (!passage.vocal) {
                quiet.push_back(passage);
                if (passage.score >= cut) ++result.false_alarms_by[passage.kind];
            } else if (!std::isnan(passage.snr_db)) {
                by_snr[passage.snr_db].push_back(passage);
            }
        }
        for (const auto& [snr_db, passages] : by_snr) result.by_snr[snr_db].add(tally(passages, cut));
        result.quiet.add(tally(quiet, cut));
        for (const CheckedSound& checked_sound : checked.sounds) {
            const LabelledSound& sound = *checked_sound.sound;
            if (sound.fold != fold || sound.label == SpanLabel::kIgnore) continue;
            const int judged = checked_sound.score >= cut ? 1 : 0;
            ClassFigure& figure = result.classes[sound.kind];
            ++figure.sounds;
            figure.judged_calls += judged;
            if (sound.label == SpanLabel::kCall && sound.snr_db >= 5) {
                ClassFigure& recording = result.recordings[sound.recording];
                ++recording.sounds;
                recording.judged_calls += judged;
            }
        }
    }
}

bool uses(const Scorecard& card, std::size_t measure) {
    return std::any_of(card.terms.begin(), card.terms.end(), [&](const Term& term) {
        return std::any_of(term.all_of.begin(), term.all_of.end(),
                           [&](const Condition& condition) { return condition.measure == measure; });
    });
}

Scorecard without(Scorecard card, std::size_t measure) {
    std::erase_if(card.terms, [&](const Term& term) {
        return std::any_of(term.all_of.begin(), term.all_of.end(),
                           [&](const Condition& condition) { return condition.measure == measure; });
    });
    return card;
}

double heard_share(const std::vector<CorpusStream>& streams, const std::vector<Scorecard>& fold_cards,
                   double most_false_alarms) {
    Checked checked;
    for (const CorpusStream& stream : streams) {
        if (stream.plan.as_recorded)
            check_stream(stream, fold_cards[static_cast<std::size_t>(stream.fold)], checked);
    }
    return tally(checked.passages, cut_for(checked.passages, most_false_alarms)).sensitivity();
}

std::map<std::size_t, double> losses_of(const std::vector<CorpusStream>& streams,
                                        const std::vector<Scorecard>& fold_cards, double most_false_alarms) {
    std::map<std::size_t, double> losses;
    const double all = heard_share(streams, fold_cards, most_false_alarms);
    for (std::size_t measure = 0; measure < kMeasureCount; ++measure) {
        if (std::none_of(fold_cards.begin(), fold_cards.end(),
                         [&](const Scorecard& card) { return uses(card, measure); }))
            continue;
        std::vector<Scorecard> cards;
        for (const Scorecard& card : fold_cards) cards.push_back(without(card, measure));
        losses[measure] = all - heard_share(streams, cards, most_false_alarms);
    }
    return losses;
}

std::vector<const LabelledSound*> without_bugles(std::vector<const LabelledSound*> sounds) {
    std::erase_if(sounds, [](const LabelledSound* sound) { return is_made_bugle(*sound); });
    return sounds;
}

// Its card in every fold's profile and in the one for all, each with the cut that quiet passages it never
// heard ask for; in none where a fold has too little to learn it from.
void add_voice_range(const VoiceRange& range, const std::vector<CorpusStream>& streams,
                     const TuningOptions& options, TuningResult& result) {
    Checked checked;
    std::vector<std::optional<Scorecard>> cards(static_cast<std::size_t>(options.corpus.folds));
    for (int fold = 0; fold < options.corpus.folds; ++fold) {
        if (fold == options.corpus.leave_out) continue;
        std::optional<Scorecard>& card = cards[static_cast<std::size_t>(fold)];
        card = voice_range_card(range, sounds_of(streams, fold), options.training);
        if (!card) return;
        for (const CorpusStream& stream : streams) {
            if (stream.fold == fold) check_stream(stream, *card, checked);
        }
    }
    const auto add = [&](Profile& profile, Scorecard card, int without_fold) {
        card.cut = std::max(kLowestRangeCut,
                            cut_for(plant_passages(checked.passages, without_fold), kRangeFalseAlarms));
        profile.cards.push_back(std::move(card));
    };
    for (int fold = 0; fold < options.corpus.folds; ++fold) {
        if (fold == options.corpus.leave_out) continue;
        add(result.fold_profiles[static_cast<std::size_t>(fold)], *cards[static_cast<std::size_t>(fold)],
            fold);
    }
    add(result.profile, *voice_range_card(range, sounds_of(streams, -1), options.training), -1);
}

} // namespace

TuningResult tune(const std::vector<Clip>& clips, const TuningOptions& options, const Progress& progress) {
    return tune_heard(hear_corpus(clips, options.corpus, options.segments, progress), options, progress);
}

TuningResult tune_heard(const std::vector<CorpusStream>& streams, const TuningOptions& options,
                        const Progress& progress) {
    const Species species = options.corpus.species;
    TuningResult result;
    for (const CorpusStream& stream : streams) {
        result.calls += stream.heard.calls;
        result.calls_found += stream.heard.calls_found;
        result.passages += stream.heard.passages.size();
        result.hours += stream.heard.passages.back().end_s / 3600;
    }

    const auto steps = static_cast<std::size_t>(options.corpus.folds) + 1;
    Checked checked;
    std::vector<Scorecard> fold_cards(static_cast<std::size_t>(options.corpus.folds));
    for (int fold = 0; fold < options.corpus.folds; ++fold) {
        if (fold == options.corpus.leave_out) continue;
        progress(static_cast<std::size_t>(fold), steps, "training without fold " + std::to_string(fold));
        Scorecard card =
            train_scorecard(without_bugles(sounds_of(streams, fold)), SpanLabel::kCall, options.training)
                .card;
        card.gates = gates_for(species);
        for (const CorpusStream& stream : streams) {
            if (stream.fold == fold) check_stream(stream, card, checked);
        }
        fold_cards[static_cast<std::size_t>(fold)] = std::move(card);
    }
    count_folds(checked, options, result);
    result.checked = checked.passages;
    result.losses = losses_of(streams, fold_cards, options.most_false_alarms);
    for (int fold = 0; fold < options.corpus.folds; ++fold) {
        const double cut = cut_for(plant_passages(checked.passages, fold), options.most_false_alarms);
        result.fold_profiles.push_back(
            profile_of(std::move(fold_cards[static_cast<std::size_t>(fold)]), cut, options));
    }

    progress(steps - 1, steps, "training on everything");
    const std::vector<const LabelledSound*> all = sounds_of(streams, -1);
    TrainedCard trained = train_scorecard(without_bugles(all), SpanLabel::kCall, options.training);
    result.largest_difference = trained.largest_difference;
    result.gains = trained.gains;
    const double cut = cut_for(plant_passages(checked.passages, -1), options.most_false_alarms);
    result.profile = profile_of(std::move(trained.card), cut, options);
    if (species == Species::kPig) result.profile.cards.push_back(grunt_card(all, options.training));
    if (species == Species::kCattle) {
        for (const VoiceRange& range : kVoiceRanges) add_voice_range(range, streams, options, result);
    }
    progress(steps, steps, "training on everything");
    return result;
}

} // namespace quietpass::tuning
