#include <catch2/catch.hpp>
#include <limits>

#include "classifiers/scorecard.h"

using namespace quietpass;

namespace {

constexpr float kInfinity = std::numeric_limits<float>::infinity();

Scorecard moo_card() {
    Scorecard card;
    card.kind = CallKind::kMoo;
    card.base = -1.0;
    card.cut = 0.5;
    card.gates = {{kDurationS, 0.2F, 8.0F}, {kVoiceShare, 0.1F, kInfinity}};
    card.kind_rules = {{CallKind::kBellow, {{kVoiceF0Hz, true, 700.0F}}}};
    card.terms = {
        {{{kVoiceS, true, 0.4F}}, 1.2},
        {{{kVoiceS, true, 0.4F}, {kVoiceRoughDb, false, 3.0F}}, 0.4},
        {{{kShare4k, true, 0.3F}}, -2.0},
    };
    return card;
}

MeasureRow moo() {
    MeasureRow row{};
    row[kDurationS] = 1.0F;
    row[kVoiceShare] = 0.9F;
    row[kVoiceS] = 0.8F;
    row[kVoiceRoughDb] = 1.0F;
    row[kVoiceF0Hz] = 150.0F;
    return row;
}

Profile profile_of(std::vector<Scorecard> cards) {
    Profile profile;
    profile.cards = std::move(cards);
    return profile;
}

} // namespace

TEST_CASE("> is strict and <= takes the threshold itself") {
    MeasureRow row{};
    row[kVoiceRoughDb] = 3.0F;
    CHECK_FALSE(holds({kVoiceRoughDb, true, 3.0F}, row));
    CHECK(holds({kVoiceRoughDb, false, 3.0F}, row));
}

TEST_CASE("the score is base plus the points of the terms that hold") {
    MeasureRow row = moo();
    CHECK(score_of(moo_card(), row) == Approx(-1.0 + 1.2 + 0.4));
    row[kVoiceRoughDb] = 5.0F;
    CHECK(score_of(moo_card(), row) == Approx(-1.0 + 1.2));
    row[kShare4k] = 0.5F;
    CHECK(score_of(moo_card(), row) == Approx(-1.0 + 1.2 - 2.0));
}

TEST_CASE("a score at the cut is a call, one below it is not") {
    Scorecard card = moo_card();
    card.cut = score_of(card, moo());
    CHECK(judge(profile_of({card}), moo()));
    card.cut += 1e-9;
    CHECK_FALSE(judge(profile_of({card}), moo()));
}

TEST_CASE("outside a gate no points help") {
    MeasureRow row = moo();
    row[kDurationS] = 8.0F;
    CHECK(judge(profile_of({moo_card()}), row));
    row[kDurationS] = 8.5F;
    CHECK_FALSE(judge(profile_of({moo_card()}), row));
    row[kDurationS] = 0.1F;
    CHECK_FALSE(judge(profile_of({moo_card()}), row));
}

TEST_CASE("a rule names another kind") {
    MeasureRow row = moo();
    CHECK(judge(profile_of({moo_card()}), row)->kind == CallKind::kMoo);
    row[kVoiceF0Hz] = 958.0F;
    CHECK(judge(profile_of({moo_card()}), row)->kind == CallKind::kBellow);
}

TEST_CASE("the first card that passes names the kind") {
    Scorecard squeal;
    squeal.kind = CallKind::kSqueal;
    squeal.cut = 1.0;
    squeal.terms = {{{{kShare2k, true, 0.3F}}, 1.0}};
    Scorecard grunt;
    grunt.kind = CallKind::kGrunt;
    grunt.terms = {{{{kShare125, true, 0.3F}}, 1.0}};
    const Profile profile = profile_of({squeal, grunt});
    MeasureRow row{};
    row[kShare2k] = 0.5F;
    CHECK(judge(profile, row)->kind == CallKind::kSqueal);
    CHECK(judge(profile, row)->card == 0);
    row[kShare2k] = 0.1F;
    CHECK(judge(profile, row)->kind == CallKind::kGrunt);
    CHECK_FALSE(can_count(judge(profile, row)->kind));
}

TEST_CASE("reasons name the terms that gave points, largest first") {
    CHECK(reasons_of(moo_card(), moo()) == "voice_s>0.4 +1.2; voice_s>0.4 & voice_rough_db<=3 +0.4");
    CHECK(reasons_of(moo_card(), moo(), 1) == "voice_s>0.4 +1.2");
    CHECK(reasons_of(moo_card(), MeasureRow{}).empty());
}
