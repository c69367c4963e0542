#include "daemon/settings/near_miss.h"

#include <catch2/catch.hpp>

using quietpass::near_miss;

namespace {
const std::vector<std::string_view> kKeys = {"debounce_ms", "inverted", "input", "name"};
}

TEST_CASE("a mistyped word finds the word it meant", "[settings]") {
    CHECK(near_miss("debounce", kKeys) == "debounce_ms");
    CHECK(near_miss("debuonce_ms", kKeys) == "debounce_ms");
    CHECK(near_miss("Inverted", kKeys) == "inverted");
    CHECK(near_miss("imput", kKeys) == "input");
    CHECK(near_miss("nmae", kKeys) == "name");
}

TEST_CASE("a word unlike all known ones finds none", "[settings]") {
    CHECK(near_miss("colour", kKeys) == std::nullopt);
    CHECK(near_miss("", kKeys) == std::nullopt);
    CHECK(near_miss(std::string(100'000, 'x'), kKeys) == std::nullopt);
    CHECK(near_miss("name", {}) == std::nullopt);
}
