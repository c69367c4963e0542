#include <catch2/catch.hpp>
#include <set>
#include <string>

#include "classifiers/measures.h"

using namespace quietpass;

TEST_CASE("every measure is found by its name and has a meaning") {
    std::set<std::string_view> names;
    for (std::size_t i = 0; i < kMeasureCount; ++i) {
        const MeasureInfo& info = measure_info(i);
        CHECK(measure_index(info.id) == i);
        CHECK(names.insert(info.id).second);
        CHECK_FALSE(info.text.empty());
        CHECK(info.id.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789_") == std::string_view::npos);
    }
    CHECK(names.size() == kMeasureCount);
}

TEST_CASE("an unknown measure has no index") {
    CHECK_FALSE(measure_index("pitch_run"));
    CHECK_FALSE(measure_index(""));
}
