#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>
#include <string>

#include "classifiers/profile_text.h"

using namespace quietpass;

namespace {

std::string text_of(const std::string& name) {
    std::ifstream file(std::string(QUIETPASS_SOURCE_DIR) + "/classifiers/profiles/" + name);
    std::stringstream text;
    text << file.rdbuf();
    return text.str();
}

} // namespace

TEST_CASE("the shipped profiles are read, each for its own species") {
    const Profile cattle = profile_from_toml(text_of("cattle.toml"));
    CHECK(cattle.species == Species::kCattle);
    REQUIRE_FALSE(cattle.cards.empty());
    CHECK(can_count(cattle.cards[0].kind));
    const Profile pig = profile_from_toml(text_of("pig.toml"));
    CHECK(pig.species == Species::kPig);
    REQUIRE_FALSE(pig.cards.empty());
    CHECK(pig.cards[0].kind == CallKind::kSqueal);
}
