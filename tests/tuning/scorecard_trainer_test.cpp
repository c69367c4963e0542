#include "classifiers/tuning/scorecard_trainer.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>

#include "classifiers/ear.h"
#include "classifiers/profile_text.h"
#include "classifiers/scorecard.h"
#include "classifiers/tuning/second_cards.h"
#include "classifiers/tuning/tuning.h"
#include "classifiers/tuning/tuning_report.h"
#include "tests/tuning/made_clips.h"

using namespace quietpass;
using namespace quietpass::tuning;

namespace {

std::vector<const LabelledSound*> pointers(const std::vector<CorpusStream>& streams) {
    std::vector<const LabelledSound*> out;
    for (const CorpusStream& stream : streams) {
        for (const LabelledSound& sound : stream.heard.sounds) out.push_back(&sound);
    }
    return out;
}

TuningOptions small_options() {
    TuningOptions options;
    options.corpus.folds = 3;
    options.training.terms = 15;
    options.training.proposing_rounds = 30;
    options.training.weighing_rounds = 60;
    options.training.stump_rounds = 60;
    return options;
}

void no_progress(std::size_t, std::size_t, const std::string&) {}

} // namespace

TEST_CASE("The scorecard says of every sound what the training library says, but for rounded points") {
    const std::vector<CorpusStream> streams = made_streams(2, 5);
    for (const int depth : {1, 2, 3}) {
        TrainingSettings settings = small_options().training;
        settings.depth = depth;
        const TrainedCard trained = train_scorecard(pointers(streams), SpanLabel::kCall, settings);
        REQUIRE_FALSE(trained.card.terms.empty());
        CHECK(trained.card.terms.size() <= settings.terms);
        // Steps have their points rounded to thousandths.
        const double rounded = depth == 1 ? 0.0005 * static_cast<double>(trained.card.terms.size() + 1) : 0.0;
        CHECK(trained.largest_difference < rounded + 1e-4);
        for (const Term& term : trained.card.terms) {
            CHECK(term.all_of.size() >= 1);
            CHECK(term.all_of.size() <= static_cast<std::size_t>(depth));
        }
    }
}

TEST_CASE("A measure's points go one way, unless both its ways are long") {
    const std::vector<CorpusStream> streams = made_streams(2, 5);
    // What the points of a measure climb and fall in all, over its values.
    const auto both_ways = [&](double two_way_share) {
        TrainingSettings settings;
        settings.stump_rounds = 200;
        settings.two_way_share = two_way_share;
        const Scorecard card = train_scorecard(pointers(streams), SpanLabel::kCall, settings).card;
        std::map<std::size_t, std::pair<double, double>> ways;
        for (const Term& term : card.terms) {
            const Condition& condition = term.all_of.at(0);
            auto& [up, down] = ways[condition.measure];
            (condition.above ? up : down) += term.points;
        }
        std::vector<double> shares;
        for (const auto& [measure, way] : ways)
            shares.push_back(std::min(way.first, way.second) / std::max(way.first, way.second));
        return shares;
    };
    const auto mixed = [](const std::vector<double>& shares) {
        return std::count_if(shares.begin(), shares.end(), [](double share) { return share > 0; });
    };
    REQUIRE(mixed(both_ways(0)) > 0);
    CHECK(mixed(both_ways(1.1)) == 0);
}

TEST_CASE("Training finds what tells calls from other sounds") {
    const std::vector<CorpusStream> streams = made_streams(2, 9);
    const std::vector<const LabelledSound*> sounds = pointers(streams);
    const Scorecard card = train_scorecard(sounds, SpanLabel::kCall, small_options().training).card;
    double calls = 0;
    double others = 0;
    int call_count = 0;
    int other_count = 0;
    for (const LabelledSound* sound : sounds) {
        const bool call = sound->label == SpanLabel::kCall;
        (call ? calls : others) += score_of(card, sound->measures);
        ++(call ? call_count : other_count);
    }
    CHECK(calls / call_count > others / other_count + 2);
}

TEST_CASE("Sounds of one kind only can't be trained on") {
    std::vector<CorpusStream> streams = made_streams(1, 3);
    for (LabelledSound& sound : streams[0].heard.sounds) sound.label = SpanLabel::kOther;
    CHECK_THROWS_AS(train_scorecard(pointers(streams), SpanLabel::kCall, {}), std::invalid_argument);
}

TEST_CASE("The same sounds and seed give the same profile, byte by byte") {
    const auto text = [] {
        const std::vector<CorpusStream> streams = made_streams(3, 21);
        return profile_to_toml(tune_heard(streams, small_options(), no_progress).profile);
    };
    CHECK(text() == text());
}

TEST_CASE("Each fold is judged by a card that never saw it") {
    // The calls of fold 0 differ from all others in every measure; a card trained with them would know them.
    std::vector<CorpusStream> streams = made_streams(3, 33);
    for (LabelledSound& sound : streams[0].heard.sounds) {
        if (sound.label != SpanLabel::kCall) continue;
        sound.measures[kVoiceS] = 0.0F;
        sound.measures[kVoiceTone] = 0.0F;
        sound.measures[kFlux] = 50.0F;
    }
    const TuningResult result = tune_heard(streams, small_options(), no_progress);
    int heard = 0;
    for (const ScoredPassage& passage : result.checked) {
        if (passage.fold == 0 && passage.vocal && passage.score >= result.profile.cards[0].cut) ++heard;
    }
    CHECK(heard < 10);
    int known = 0;
    for (const LabelledSound& sound : streams[0].heard.sounds) {
        if (sound.label == SpanLabel::kCall && score_of(result.profile.cards[0], sound.measures) > 0) ++known;
    }
    CHECK(known > 30);
}

TEST_CASE("An Ear with the trained profile gives a call the score that training gave its sound") {
    std::vector<Clip> calls;
    std::vector<Clip> bursts;
    for (int i = 0; i < 4; ++i) calls.push_back(made_call("cattle", 130 + 15 * i, i));
    for (int i = 0; i < 4; ++i) bursts.push_back(made_burst("metal", i));
    StreamClips clips;
    for (const Clip& clip : calls) clips.calls.push_back(&clip);
    for (const Clip& clip : bursts) clips.others.push_back(&clip);
    StreamPlan plan;
    plan.passages = 24;
    plan.vocal_share = 0.8;
    plan.snr_db = 18;
    plan.seed = 4;
    const SimulatedStream stream = simulate(plan, clips);
    const SegmentSettings segments;
    const HeardStream heard = hear(stream, segments);
    std::vector<const LabelledSound*> sounds;
    for (const LabelledSound& sound : heard.sounds) sounds.push_back(&sound);

    Profile profile;
    profile.segments = segments;
    profile.cards.push_back(train_scorecard(sounds, SpanLabel::kCall, small_options().training).card);
    profile.cards[0].cut = -1.5;
    // As it ships: through its text.
    const Profile shipped = profile_from_toml(profile_to_toml(profile));
    Ear ear(kClipRateHz, shipped);
    for (std::size_t at = 0; at < stream.samples.size(); at += 1000) {
        ear.process(
            std::span(stream.samples).subspan(at, std::min<std::size_t>(1000, stream.samples.size() - at)));
    }
    ear.finish();
    HeardCall call;
    int compared = 0;
    while (ear.take(call)) {
        bool met = false;
        for (const LabelledSound& sound : heard.sounds) {
            met = met || std::abs(score_of(profile.cards[0], sound.measures) - call.score) < 1e-4;
        }
        CHECK(met);
        ++compared;
    }
    CHECK(compared >= 2);
}

TEST_CASE("A condition is said in plain words with its unit") {
    CHECK(plain_words({kVoiceS, true, 0.4F}) == "length of the voice over 0.4 s");
    CHECK(plain_words({kVoiceRoughDb, false, 3.0F}).find("at most 3 dB") != std::string::npos);
}

TEST_CASE("Made bugles get a card of their own in every profile, and the first card doesn't learn them") {
    std::vector<CorpusStream> streams = made_streams(3, 21);
    // Each fold: bugles made after what is published, and as many long high whistles that a bugle's loudness
    // tells from.
    for (CorpusStream& stream : streams) {
        stream.plan.as_recorded = true;
        Random random(static_cast<std::uint64_t>(stream.fold) + 7);
        for (int i = 0; i < 80; ++i) {
            LabelledSound sound = stream.heard.sounds[0];
            const bool bugle = i % 2 == 0;
            sound.label = bugle ? SpanLabel::kCall : SpanLabel::kOther;
            sound.recording = bugle ? "" : "whistle";
            sound.kind = bugle ? "call" : "machine";
            sound.measures[kVoiceS] = static_cast<float>(random.between(0.6, 1.5));
            sound.measures[kVoiceF0HighHz] = static_cast<float>(random.between(820, 1100));
            sound.measures[kVoiceArchOct] =
                static_cast<float>(bugle ? random.between(0.2, 0.5) : random.between(0, 0.25));
            sound.passage = -1;
            stream.heard.sounds.push_back(sound);
        }
    }
    const TuningResult result = tune_heard(streams, small_options(), no_progress);
    REQUIRE(result.profile.cards.size() == 2);
    for (const Profile& fold : result.fold_profiles) CHECK(fold.cards.size() == 2);
    const Scorecard& card = result.profile.cards[1];
    CHECK(card.kind == CallKind::kBellow);
    CHECK(can_count(card.kind));
    double bugles = 0;
    double whistles = 0;
    for (const LabelledSound& sound : streams[0].heard.sounds) {
        if (!within_gates(card, sound.measures)) continue;
        if (is_made_bugle(sound)) bugles += score_of(card, sound.measures) / 40;
        if (sound.recording == "whistle") whistles += score_of(card, sound.measures) / 40;
    }
    CHECK(bugles > whistles + 1);

    // Without bugles there is one card, and it is the first one to the byte.
    std::vector<CorpusStream> plain = streams;
    for (CorpusStream& stream : plain)
        std::erase_if(stream.heard.sounds, [](const LabelledSound& sound) { return is_made_bugle(sound); });
    const TuningResult without = tune_heard(plain, small_options(), no_progress);
    REQUIRE(without.profile.cards.size() == 1);
    CHECK(without.profile.cards[0].terms == result.profile.cards[0].terms);
}
