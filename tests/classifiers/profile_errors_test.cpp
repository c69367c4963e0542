#include <catch2/catch.hpp>
#include <string>

#include "classifiers/profile_text.h"

using namespace quietpass;

namespace {

const std::string kHead = "species = \"cattle\"\nname = \"c\"\nversion = \"1\"\n";       // lines 1-3
const std::string kCard = "[[card]]\nkind = \"moo\"\nbase = 0.0\ncut = 1.0\n";           // lines 4-7
const std::string kTerms = "terms = [ { when = [\"voice_s > 0.4\"], points = 1.0 } ]\n"; // line 8

struct Wrong {
    const char* what;
    std::string text;
    int line;
    const char* key;
    const char* expected; // a part of the message
};

} // namespace

TEST_CASE("the profile that the wrong ones are made from is right") {
    CHECK_NOTHROW(profile_from_toml(kHead + kCard + kTerms));
}

TEST_CASE("every wrong profile is refused with line, key and what was expected") {
    const Wrong wrongs[] = {
        {"not TOML", kHead + "name == 1\n", 4, "", "not TOML"},
        {"unknown key", kHead + "colour = 1\n" + kCard + kTerms, 4, "colour",
         "unknown key; expected one of: species"},
        {"no species", "name = \"c\"\n", 1, "species", "\"cattle\" or \"pig\", found nothing"},
        {"unknown species", "species = \"cow\"\nname = \"c\"\nversion = \"1\"\n", 1, "species",
         "found \"cow\""},
        {"a species in two lines", "species = \"cat\\ntle\"\nname = \"c\"\nversion = \"1\"\n", 1, "species",
         "found \"cat\\ntle\""},
        {"an unknown key in two lines", kHead + "\"a\\r\\nb\" = 1\n" + kCard + kTerms, 4, "a\\r\\nb",
         "unknown key"},
        {"a measure in two lines",
         kHead + kCard + "steps = [ { measure = \"a\\u001bb\", at = [1], points = [0, 1] } ]\n", 8,
         "card[1].steps[1].measure", "unknown measure \"a\\u001Bb\""},
        {"sheep", "species = \"sheep\"\nname = \"c\"\nversion = \"1\"\n", 1, "species", "found \"sheep\""},
        {"name of wrong type", "species = \"pig\"\nname = 3\nversion = \"1\"\n", 2, "name",
         "a name, found a whole number"},
        {"no cards", kHead, 1, "card", "1 to 4 cards"},
        {"card no table", "card = [1]\n" + kHead, 1, "card[1]", "found a whole number"},
        {"segments no table", kHead + "segments = 3\n" + kCard + kTerms, 4, "segments",
         "a table, found a whole number"},
        {"unknown segment field", kHead + "[segments]\nlow = 3\n" + kCard + kTerms, 5, "segments.low",
         "unknown key; expected one of: low_hz"},
        {"segment field of wrong type", kHead + "[segments]\nlow_hz = \"a\"\n" + kCard + kTerms, 5,
         "segments.low_hz", "a number, found text"},
        {"segment field out of range", kHead + "[segments]\nlongest_s = 20.0\n" + kCard + kTerms, 5,
         "segments.longest_s", "0.1 to 8"},
        {"segment fields against each other", kHead + "[segments]\ntone_off = 9.0\n" + kCard + kTerms, 4,
         "segments", "tone_off no greater than tone_on"},
        {"unknown key in card", kHead + kCard + "sum = 1\n" + kTerms, 8, "card[1].sum", "unknown key"},
        {"kind of another species", kHead + "[[card]]\nkind = \"squeal\"\nbase = 0.0\ncut = 1.0\n" + kTerms,
         5, "card[1].kind", "\"moo\" or \"bellow\", found \"squeal\""},
        {"no cut", kHead + "[[card]]\nkind = \"moo\"\nbase = 0.0\n" + kTerms, 4, "card[1].cut",
         "found nothing"},
        {"cut not finite", kHead + "[[card]]\nkind = \"moo\"\nbase = 0.0\ncut = nan\n" + kTerms, 7,
         "card[1].cut", "finite"},
        {"no terms", kHead + kCard, 4, "card[1].terms", "at least one of steps or terms"},
        {"steps of no measure", kHead + kCard + "steps = [ { at = [1], points = [0, 1] } ]\n", 8,
         "card[1].steps[1].measure", "found nothing"},
        {"steps that fall",
         kHead + kCard + "steps = [ { measure = \"voice_s\", at = [2, 1], points = [0, 1, 2] } ]\n", 8,
         "card[1].steps[1].at", "each above the one before it"},
        {"steps with too few points",
         kHead + kCard + "steps = [ { measure = \"voice_s\", at = [1], points = [1] } ]\n", 8,
         "card[1].steps[1].points", "one number more"},
        {"term no table", kHead + kCard + "terms = [ 1.5 ]\n", 8, "card[1].terms[1]", "found a number"},
        {"term without points", kHead + kCard + "terms = [ { when = [\"voice_s > 0.4\"] } ]\n", 8,
         "card[1].terms[1].points", "found nothing"},
        {"term without conditions", kHead + kCard + "terms = [ { points = 1.0 } ]\n", 8,
         "card[1].terms[1].when", "found nothing"},
        {"no condition", kHead + kCard + "terms = [ { when = [], points = 1.0 } ]\n", 8,
         "card[1].terms[1].when", "1 to 3 conditions, found 0"},
        {"four conditions",
         kHead + kCard +
             "terms = [ { when = [\"crest_db > 1\", \"crest_db > 1\", \"crest_db > 1\", \"crest_db > 1\"], "
             "points = 1.0 } ]\n",
         8, "card[1].terms[1].when", "found 4"},
        {"condition no text", kHead + kCard + "terms = [ { when = [1], points = 1.0 } ]\n", 8,
         "card[1].terms[1].when", "as text"},
        {"unknown measure in a term on the second line",
         kHead + kCard + "terms = [\n { when = [\"loudness > 1\"], points = 1.0 } ]\n", 9,
         "card[1].terms[1].when", "unknown measure \"loudness\""},
        {"condition without sign", kHead + kCard + "terms = [ { when = [\"crest_db 1\"], points = 1.0 } ]\n",
         8, "card[1].terms[1].when", "measure > number"},
        {"condition with another sign",
         kHead + kCard + "terms = [ { when = [\"crest_db < 1\"], points = 1.0 } ]\n", 8,
         "card[1].terms[1].when", "measure > number"},
        {"condition without measure", kHead + kCard + "terms = [ { when = [\" > 1\"], points = 1.0 } ]\n", 8,
         "card[1].terms[1].when", "measure > number"},
        {"condition without number",
         kHead + kCard + "terms = [ { when = [\"crest_db >\"], points = 1.0 } ]\n", 8,
         "card[1].terms[1].when", "measure > number"},
        {"condition with more after its number",
         kHead + kCard + "terms = [ { when = [\"crest_db > 1 dB\"], points = 1.0 } ]\n", 8,
         "card[1].terms[1].when", "measure > number"},
        {"gate without range", kHead + kCard + "gates = [ { measure = \"crest_db\" } ]\n" + kTerms, 8,
         "card[1].gates[1]", "min, max or both"},
        {"gate upside down",
         kHead + kCard + "gates = [ { measure = \"crest_db\", min = 3, max = 1 } ]\n" + kTerms, 8,
         "card[1].gates[1].min", "no greater than max"},
        {"gate of unknown measure", kHead + kCard + "gates = [ { measure = \"x\", min = 3 } ]\n" + kTerms, 8,
         "card[1].gates[1].measure", "unknown measure \"x\""},
        {"gate with unknown key",
         kHead + kCard + "gates = [ { measure = \"crest_db\", low = 3 } ]\n" + kTerms, 8,
         "card[1].gates[1].low", "unknown key"},
        {"kind rule with wrong kind",
         kHead + kCard + "kinds = [ { kind = \"grunt\", when = [\"crest_db > 1\"] } ]\n" + kTerms, 8,
         "card[1].kinds[1].kind", "found \"grunt\""},
    };
    for (const Wrong& wrong : wrongs) {
        INFO(wrong.what);
        try {
            profile_from_toml(wrong.text);
            FAIL_CHECK("was accepted");
        } catch (const ProfileError& error) {
            INFO(error.what());
            CHECK(error.line == wrong.line);
            CHECK(error.key == wrong.key);
            CHECK(error.expected.find(wrong.expected) != std::string::npos);
            CHECK(std::string(error.what()) == "line " + std::to_string(error.line) + ": " +
                                                   (error.key.empty() ? "" : error.key + ": ") +
                                                   error.expected);
            CHECK(std::string(error.what()).find('\n') == std::string::npos);
        }
    }
}
