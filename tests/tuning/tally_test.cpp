#include <catch2/catch.hpp>
#include <limits>
#include <set>

#include "classifiers/tuning/folds.h"
#include "classifiers/tuning/passage_tally.h"
#include "tests/tuning/made_clips.h"

using namespace quietpass::tuning;

namespace {

std::vector<ScoredPassage> quiet_scores(int count) {
    std::vector<ScoredPassage> passages;
    for (int i = 0; i < count; ++i) {
        ScoredPassage passage;
        passage.score = i;
        passages.push_back(passage);
    }
    return passages;
}

} // namespace

TEST_CASE("The cut lets through no more quiet passages than it may") {
    const std::vector<ScoredPassage> passages = quiet_scores(1000);
    for (const double share : {0.0, 0.004, 0.05, 0.5}) {
        CHECK(tally(passages, cut_for(passages, share)).false_alarm_rate() <= share);
    }
    CHECK(tally(passages, cut_for(passages, 0.05)).false_alarms == 50);
}

TEST_CASE("Ties at the cut are all kept out") {
    std::vector<ScoredPassage> passages = quiet_scores(10);
    for (ScoredPassage& passage : passages) passage.score = 2.0;
    CHECK(tally(passages, cut_for(passages, 0.3)).false_alarms == 0);
}

TEST_CASE("Quiet passages in which nothing was found don't set the cut") {
    std::vector<ScoredPassage> passages = quiet_scores(3);
    for (ScoredPassage& passage : passages) passage.score = -std::numeric_limits<double>::infinity();
    CHECK(cut_for(passages, 0.0) == 0.0);
    CHECK(cut_for({}, 0.1) == 0.0);
}

TEST_CASE("F1 follows from the two rates and the share of vocal passages") {
    PassageTally counted;
    counted.vocal = 100;
    counted.heard = 90;
    counted.quiet = 300;
    counted.false_alarms = 6;
    // 90 hits, 6 false alarms, 10 misses at a quarter vocal: 2·90 / (2·90 + 6 + 10).
    CHECK(counted.f1_at(0.25) == Approx(180.0 / 196.0));
    CHECK(PassageTally{}.f1_at(0.25) == 0.0);
}

TEST_CASE("Within each class recordings sorted by name fall into folds in turn, all clips of one together") {
    std::vector<Clip> clips;
    for (const char* name : {"d", "a", "c", "b", "a"}) {
        Clip clip;
        clip.kind = std::string("cattle");
        clip.recording = name;
        clips.push_back(clip);
    }
    Clip other;
    other.kind = std::string("speech");
    other.recording = std::string("z");
    clips.push_back(other);
    assign_folds(clips, 3);
    std::vector<int> folds;
    for (const Clip& clip : clips) folds.push_back(clip.fold);
    CHECK(folds == std::vector<int>{0, 0, 2, 1, 0, 0});
}
