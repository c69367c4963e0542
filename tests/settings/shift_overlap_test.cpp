#include "daemon/settings/shift_overlap.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

using Pair = std::pair<std::size_t, std::size_t>;

ShiftSettings shift(int start_hour, int end_hour, std::vector<unsigned> weekdays = {}) {
    return {"", 60 * start_hour, 60 * end_hour, std::move(weekdays)};
}

} // namespace

TEST_CASE("shifts that follow each other do not overlap", "[settings]") {
    CHECK_FALSE(overlapping_shifts({}));
    CHECK_FALSE(overlapping_shifts({shift(6, 6)}));
    CHECK_FALSE(overlapping_shifts({shift(6, 14), shift(14, 22), shift(22, 6)}));
}

TEST_CASE("shifts of different days do not overlap", "[settings]") {
    CHECK_FALSE(overlapping_shifts({shift(6, 14, {1, 2}), shift(7, 15, {3, 4})}));
}

TEST_CASE("shifts that share a minute overlap", "[settings]") {
    CHECK(overlapping_shifts({shift(6, 14), shift(13, 20)}) == Pair(0, 1));
    CHECK(overlapping_shifts({shift(6, 14), shift(14, 22), shift(8, 9)}) == Pair(0, 2));
}

TEST_CASE("a night shift runs into the next day, Saturday's into Sunday", "[settings]") {
    CHECK(overlapping_shifts({shift(22, 6, {1}), shift(5, 7, {2})}) == Pair(0, 1));
    CHECK_FALSE(overlapping_shifts({shift(22, 6, {1}), shift(5, 7, {1})}));
    CHECK(overlapping_shifts({shift(5, 7, {0}), shift(22, 6, {6})}) == Pair(0, 1));
}

TEST_CASE("a shift that ends when it starts lasts a whole day", "[settings]") {
    CHECK(overlapping_shifts({shift(6, 6, {1}), shift(5, 6, {2})}) == Pair(0, 1));
    CHECK_FALSE(overlapping_shifts({shift(6, 6, {1}), shift(6, 7, {2})}));
}
