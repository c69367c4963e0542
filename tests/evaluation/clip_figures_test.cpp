#include "classifiers/evaluation/clip_figures.h"

#include <catch2/catch.hpp>

using namespace quietpass::evaluation;

namespace {

JudgedClip clip(const std::string& kind, const std::string& recording, bool called, int fold = 0) {
    JudgedClip out;
    out.kind = kind;
    out.recording = recording;
    out.is_call = kind == "cattle";
    out.called = called;
    out.fold = fold;
    return out;
}

} // namespace

TEST_CASE("A recording cut into many clips weighs once, called when half of them are") {
    const std::vector<JudgedClip> clips = {clip("cattle", "a", true),  clip("cattle", "a", false),
                                           clip("cattle", "b", false), clip("cattle", "b", false),
                                           clip("cattle", "b", true),  clip("sheep", "c", false)};
    const auto rows = clip_figures(clips);
    REQUIRE(rows.size() == 2);
    CHECK(rows[0].figures.counts.positives() == 5);
    CHECK(rows[1].unit == "recording");
    CHECK(rows[1].figures.counts.true_positives == 1);
    CHECK(rows[1].figures.counts.false_negatives == 1);
    CHECK(rows[1].figures.counts.true_negatives == 1);
}

TEST_CASE("A clip that nobody can tell is in no figure") {
    std::vector<JudgedClip> clips = {clip("cattle", "a", true), clip("cattle", "b", false)};
    clips[1].set_apart = true;
    CHECK(clip_figures(clips).at(0).figures.counts.all() == 1);
    CHECK(class_rows(clips).at(0).clips.n == 1);
}

TEST_CASE("Classes: calls first, then what is most often mistaken for them") {
    const auto rows = class_rows(std::vector<JudgedClip>{clip("bird", "a", false), clip("donkey", "b", true),
                                                         clip("cattle", "c", false), clip("sheep", "d", true),
                                                         clip("sheep", "e", false)});
    std::vector<std::string> kinds;
    for (const auto& row : rows) kinds.push_back(row.kind);
    CHECK(kinds == std::vector<std::string>{"cattle", "donkey", "sheep", "bird"});
    CHECK(rows[2].clips.k == 1);
    CHECK(rows[2].clips.n == 2);
}

TEST_CASE("Folds are shown apart where there are several") {
    const auto rows =
        clip_figures(std::vector<JudgedClip>{clip("cattle", "a", true, 0), clip("cattle", "b", false, 1)});
    REQUIRE(rows.size() == 4);
    CHECK(rows[3].by == "fold");
    CHECK(rows[3].group == "1");
    CHECK(rows[3].figures.counts.false_negatives == 1);
}
