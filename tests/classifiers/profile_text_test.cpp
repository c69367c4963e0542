#include <rapidcheck.h>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "classifiers/measures.h"
#include "classifiers/profile_text.h"

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
        RC_ASSERT(again.cards == profile.cards);
    }));
}

TEST_CASE("a written profile says in words what each term looks at") {
    Profile profile;
    profile.name = "cattle";
    profile.version = "1";
    profile.cards.resize(1);
    profile.cards[0].terms = {{{{kPitchRunS, true, 0.42F}}, 1.2}};
    const std::string text = profile_to_toml(profile);
    CHECK(
        text.find(
            "{ points = +1.2, when = [\"pitch_run_s > 0.42\"] },  # longest stretch of smooth pitch, s\n") !=
        std::string::npos);
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
