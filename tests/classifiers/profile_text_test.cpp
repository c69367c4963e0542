#include <rapidcheck.h>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "classifiers/measures.h"
#include "classifiers/profile_text.h"
#include "classifiers/scorecard.h"

using namespace quietpass;

namespace {

// At most six digits: what the text holds exactly.
float number() {
    return static_cast<float>(*rc::gen::inRange(-9999, 10000)) / 4.0F;
}

std::vector<Condition> conditions() {
    std::vector<Condition> out(static_cast<std::size_t>(*rc::gen::inRange(1, 4)));
    for (Condition& c : out) {
        c = {*rc::gen::inRange<std::size_t>(0, kMeasureCount), *rc::gen::arbitrary<bool>(), number()};
    }
    return out;
}

// A row with values on, beside and far from the card's thresholds.
MeasureRow any_row(const Scorecard& card) {
    MeasureRow row{};
    for (const Term& term : card.terms) {
        for (const Condition& c : term.all_of)
            row[c.measure] = c.threshold + static_cast<float>(*rc::gen::inRange(-2, 3)) / 4.0F;
    }
    return row;
}

Profile any_profile() {
    Profile profile;
    const bool pig = *rc::gen::arbitrary<bool>();
    profile.species = pig ? Species::kPig : Species::kCattle;
    const auto kind = [pig]() {
        const bool first = *rc::gen::arbitrary<bool>();
        if (pig) return first ? CallKind::kSqueal : CallKind::kGrunt;
        return first ? CallKind::kMoo : CallKind::kBellow;
    };
    profile.name = *rc::gen::container<std::string>(rc::gen::inRange<char>(1, 127));
    profile.version = "7";
    profile.about = "two\nlines, a \"quote\" and a \\";
    profile.segments.longest_s = static_cast<double>(*rc::gen::inRange(200, 800)) / 100.0;
    profile.cards.resize(static_cast<std::size_t>(*rc::gen::inRange(1, 5)));
    for (Scorecard& card : profile.cards) {
        card.kind = kind();
        card.base = number();
        card.cut = number();
        card.terms.resize(static_cast<std::size_t>(*rc::gen::inRange(1, 6)));
        for (Term& term : card.terms) term = {conditions(), number()};
        card.kind_rules.resize(static_cast<std::size_t>(*rc::gen::inRange(0, 3)));
        for (KindRule& rule : card.kind_rules) rule = {kind(), conditions()};
        card.gates.resize(static_cast<std::size_t>(*rc::gen::inRange(0, 3)));
        for (Gate& gate : card.gates) {
            const float a = number();
            const float b = number();
            gate = {*rc::gen::inRange<std::size_t>(0, kMeasureCount), std::min(a, b), std::max(a, b)};
            if (*rc::gen::arbitrary<bool>()) {
                gate.low = -std::numeric_limits<float>::infinity();
            } else if (*rc::gen::arbitrary<bool>()) {
                gate.high = std::numeric_limits<float>::infinity();
            }
        }
    }
    return profile;
}

} // namespace

TEST_CASE("a profile that was written reads back as it was") {
    CHECK(rc::check([] {
        const Profile profile = any_profile();
        const Profile again = profile_from_toml(profile_to_toml(profile));
        RC_ASSERT(again.species == profile.species);
        RC_ASSERT(again.name == profile.name);
        RC_ASSERT(again.version == profile.version);
        RC_ASSERT(again.about == profile.about);
        RC_ASSERT(again.segments == profile.segments);
        RC_ASSERT(again.cards.size() == profile.cards.size());
        for (std::size_t i = 0; i < profile.cards.size(); ++i) {
            const Scorecard& was = profile.cards[i];
            const Scorecard& now = again.cards[i];
            RC_ASSERT(now.kind == was.kind);
            RC_ASSERT(now.cut == was.cut);
            RC_ASSERT(now.gates == was.gates);
            RC_ASSERT(now.kind_rules == was.kind_rules);
            // Terms of one condition are written as steps: what they add together is what counts.
            for (int row = 0; row < 20; ++row) {
                const MeasureRow measures = any_row(was);
                RC_ASSERT(std::abs(score_of(now, measures) - score_of(was, measures)) < 1e-6);
            }
        }
        const std::string text = profile_to_toml(again);
        RC_ASSERT(profile_to_toml(profile_from_toml(text)) == text);
    }));
}

TEST_CASE("steps add what stands for the value, and are reasons where they give points") {
    const Profile profile = profile_from_toml(
        "species = 'cattle'\nname = 'c'\nversion = '1'\n[[card]]\nkind = 'moo'\nbase = -1\ncut = 1\n"
        "steps = [ { measure = 'voice_s', at = [0.2, 0.8, 2], points = [-0.5, 0, +1.5, +0.25] } ]\n");
    const Scorecard& card = profile.cards[0];
    const auto score = [&](float voice_s) {
        MeasureRow row{};
        row[kVoiceS] = voice_s;
        return score_of(card, row);
    };
    CHECK(score(0.2F) == Approx(-1.5));
    CHECK(score(0.21F) == Approx(-1.0));
    CHECK(score(0.8F) == Approx(-1.0));
    CHECK(score(0.9F) == Approx(0.5));
    CHECK(score(3.0F) == Approx(-0.75));
    MeasureRow row{};
    row[kVoiceS] = 0.9F;
    CHECK(reasons_of(card, row, 2) == "voice_s>0.8 +1.5; voice_s<=2 +1.2");
}

TEST_CASE("a written profile says in words what each term looks at") {
    Profile profile;
    profile.name = "cattle";
    profile.version = "1";
    profile.cards.resize(1);
    profile.cards[0].terms = {{{{kVoiceS, true, 0.42F}}, 1.2},
                              {{{kVoiceS, false, 2.0F}}, 0.3},
                              {{{kVoiceS, true, 0.42F}, {kDurationS, false, 3.0F}}, 0.5}};
    const std::string text = profile_to_toml(profile);
    CHECK(text.find("{ measure = \"voice_s\", at = [0.42, 2.0], points = [+0.3, +1.5, +1.2] },  "
                    "# length of the voice, s\n") != std::string::npos);
    CHECK(text.find("{ points = +0.5, when = [\"voice_s > 0.42\", \"duration_s <= 3.0\"] },  "
                    "# length of the voice, s; length of the sound, s\n") != std::string::npos);
}

TEST_CASE("fields of the segmenter that are left out keep their defaults") {
    const Profile profile = profile_from_toml(
        "species = 'pig'\nname = 'p'\nversion = '1'\n[segments]\nlow_hz = 400\n"
        "[[card]]\nkind = 'squeal'\nbase = 0\ncut = 1\nterms = [ { when = ['share_2k > 0.3'], points = 1 } "
        "]\n");
    SegmentSettings expected;
    expected.low_hz = 400.0;
    CHECK(profile.segments == expected);
    CHECK(profile.cards[0].terms[0].points == 1.0);
}
