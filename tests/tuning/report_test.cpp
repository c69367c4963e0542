#include "classifiers/tuning/tuning_report.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <sstream>

#include "classifiers/measures.h"
#include "classifiers/profile_text.h"
#include "classifiers/scorecard.h"
#include "classifiers/tuning/dot_plot.h"
#include "classifiers/tuning/terms_in_words.h"
#include "classifiers/tuning/text_columns.h"
#include "tests/tuning/made_clips.h"

using namespace quietpass;
using namespace quietpass::tuning;

namespace {

TuningOptions small_options(int depth) {
    TuningOptions options;
    options.corpus.folds = 3;
    options.training.terms = 20;
    options.training.depth = depth;
    options.training.proposing_rounds = 30;
    options.training.weighing_rounds = 60;
    options.training.stump_rounds = 60;
    return options;
}

std::vector<CorpusStream> plant_streams() {
    std::vector<CorpusStream> streams = made_streams(3, 17);
    for (CorpusStream& stream : streams) stream.plan.as_recorded = true;
    return streams;
}

bool holds_text(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

} // namespace

TEST_CASE("The report fits 80 columns, whatever the terms") {
    for (const int depth : {1, 3}) {
        const TuningOptions options = small_options(depth);
        const auto nothing = [](std::size_t, std::size_t, const std::string&) {};
        const TuningResult result = tune_heard(plant_streams(), options, nothing);
        const std::string report = report_of(result, options);
        std::istringstream lines(report);
        std::string line;
        while (std::getline(lines, line)) {
            CAPTURE(line);
            CHECK(columns_of(line) <= kReportColumns);
        }
        CHECK(holds_text(report, "At 3 % vocal; ◆ where the shipped cut stands"));
        CHECK(holds_text(report, "5 dB, area 0."));
        CHECK(holds_text(report, "◆"));
        CHECK(holds_text(report, "metal"));
        REQUIRE_FALSE(result.losses.empty());
        for (const auto& [measure, loss] : result.losses) {
            CAPTURE(measure);
            char row[64];
            std::snprintf(row, sizeof row, "\n  %+6.1f  %s", 100 * loss, measure_info(measure).id.data());
            CHECK(holds_text(report, row));
        }
    }
}

TEST_CASE("Terms stand by subject, and steps of one measure on one line") {
    Scorecard card;
    card.base = -2;
    card.cut = 1.5;
    card.terms = {{{{kDurationS, true, 0.5F}}, 0.3},
                  {{{kVoiceS, true, 0.4F}}, 1.2},
                  {{{kVoiceS, true, 0.8F}}, 0.5},
                  {{{kVoiceS, false, 2.0F}}, 0.2},
                  {{{kVoiceF0Hz, true, 80.0F}, {kVoiceF0Hz, false, 260.0F}}, 0.9}};
    const std::string page = terms_in_words(card, {0.1, 0.8, 0.3, 0.1, 0.4});
    CHECK(holds_text(page, "+1.90  length of the voice, s: over 0.4 +1.20; over 0.8 +0.50; at"));
    CHECK(plain_words({kCentroidHz, true, 1670.4F}) == "middle of the energy, median: over 1670 Hz");
    CHECK(holds_text(page, "+0.90  pitch of the voice, median: over 80, at most 260 Hz"));
    CHECK(page.find("the pitch and how it runs") < page.find("length, loudness, onset and end"));
}

TEST_CASE("Arranging terms by subject changes their order and no score") {
    const std::vector<CorpusStream> streams = made_streams(2, 4);
    std::vector<const LabelledSound*> sounds;
    for (const CorpusStream& stream : streams) {
        for (const LabelledSound& sound : stream.heard.sounds) sounds.push_back(&sound);
    }
    const TrainedCard trained = train_scorecard(sounds, SpanLabel::kCall, small_options(2).training);
    Scorecard card = trained.card;
    std::vector<double> gains = trained.gains;
    arrange_by_subject(card, gains);
    REQUIRE(card.terms.size() == trained.card.terms.size());
    std::vector<Subject> order;
    for (std::size_t i = 0; i < card.terms.size(); ++i) {
        const Subject subject = subject_of(card.terms[i]);
        if (order.empty() || order.back() != subject) order.push_back(subject);
        const auto was = std::find(trained.card.terms.begin(), trained.card.terms.end(), card.terms[i]);
        REQUIRE(was != trained.card.terms.end());
    }
    std::sort(order.begin(), order.end());
    CHECK(std::adjacent_find(order.begin(), order.end()) == order.end());
    for (const LabelledSound* sound : sounds)
        CHECK(std::abs(score_of(card, sound->measures) - score_of(trained.card, sound->measures)) < 1e-9);
    // The profile's text names the subjects between the terms and still reads back.
    Profile profile;
    profile.cards.push_back(card);
    const std::string text = profile_to_toml(profile);
    CHECK(holds_text(text, "  # " + std::string(name_of(subject_of(card.terms[0]))) + "\n"));
    CHECK(profile_from_toml(text).cards[0].terms.size() == card.terms.size());
}

TEST_CASE("No measure's words lean on another's") {
    for (std::size_t i = 0; i < kMeasureCount; ++i) {
        const std::string words = measure_in_words(i);
        CAPTURE(words);
        CHECK(words.rfind("the same", 0) != 0);
        CHECK_FALSE(holds_text(words, "that change"));
        CHECK_FALSE(holds_text(words, "that edge"));
    }
    CHECK(measure_in_words(kVoiceToneHigh) ==
          "strength of the voice: how far its harmonics stand out, 90th percentile");
}

TEST_CASE("A dot plot draws its corners where they belong") {
    DotPlot plot(2, 1);
    plot.line(0, 0, 0, 0);
    plot.line(1, 1, 1, 1);
    CHECK(plot.rows() == std::vector<std::string>{"⡀⠈"});
    plot.mark(0, 1, "◆");
    CHECK(plot.rows() == std::vector<std::string>{"◆⠈"});
    CHECK(bar(0.5, 3) == "█▌ ");
    CHECK(bar(2.0, 3) == "███");
    CHECK(bar(0.0, 2) == "  ");
}

TEST_CASE("Text is cut and broken by characters, not bytes") {
    CHECK(in_columns("größer", 4) == "grö…");
    CHECK(in_columns("ö", 3) == "ö  ");
    const std::string text = wrapped("  +1.00  " + std::string(60, 'a') + " " + std::string(30, 'b'), 9);
    CHECK(text == "  +1.00  " + std::string(60, 'a') + "\n         " + std::string(30, 'b') + "\n");
}
