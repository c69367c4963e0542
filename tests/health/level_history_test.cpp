#include "daemon/health/level_history.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace quietpass;

TEST_CASE("Quantiles of what was heard are right to half a decibel") {
    LevelHistory history;
    CHECK(std::isnan(history.quantile_db(0.5)));
    for (int i = 0; i <= 1000; ++i) history.add(-60.0 + 0.02 * i); // −60 to −40, evenly
    CHECK(history.quantile_db(0.25) == Approx(-55.0).margin(0.5));
    CHECK(history.quantile_db(0.5) == Approx(-50.0).margin(0.5));
    CHECK(history.quantile_db(0.75) == Approx(-45.0).margin(0.5));
}

TEST_CASE("A tenth of odd values hardly moves the quartiles, and values beyond all bounds are kept at them") {
    LevelHistory history;
    for (int i = 0; i < 900; ++i) history.add(-40.0 + 0.01 * (i % 200));
    for (int i = 0; i < 50; ++i) history.add(-1e9);
    for (int i = 0; i < 50; ++i) history.add(1e9);
    CHECK(history.quantile_db(0.25) == Approx(-39.5).margin(0.6));
    CHECK(history.quantile_db(0.75) == Approx(-38.5).margin(0.6));
    CHECK(history.quantile_db(0.0) == -200.0);
    CHECK(history.quantile_db(1.0) == 60.0);
}

TEST_CASE("What is old gives way to what is new") {
    LevelHistory history;
    for (int i = 0; i < 1000; ++i) history.add(-40.0);
    history.fade(0.1);
    for (int i = 0; i < 200; ++i) history.add(-60.0);
    CHECK(history.quantile_db(0.5) == -60.0);
}
