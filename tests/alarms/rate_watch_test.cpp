#include <catch2/catch.hpp>

#include "daemon/alarms/rate_watch.h"

using namespace quietpass;

namespace {

StationSettings scored_station() {
    StationSettings settings;
    settings.scoring.limit_percent = 5.0;
    settings.contacts.emplace_back().role = Role::kStunned;
    return settings;
}

Passage passage(bool vocal, int stuns = 1) {
    Passage made;
    made.vocal = vocal;
    made.calls = vocal ? 1 : 0;
    made.stuns = stuns;
    return made;
}

} // namespace

TEST_CASE("Without shares of its own a station's CUSUM goes from 0.4 of the limit to the limit") {
    const auto design = cusum_of(scored_station());
    REQUIRE(design);
    CHECK(design->up == cusum_steps(0.02, 0.05).up);
    CHECK(design->passages_between_false_alarms >= 5000.0);
    CHECK(design->passages_between_false_alarms < 5100.0);
    // For deploy/station.md: about 200 passages to an alarm when the share has risen to the limit.
    CHECK(design->passages_to_alarm == Approx(198.7).margin(0.1));
    StationSettings sheep = scored_station();
    sheep.species = Species::kSheep;
    CHECK_FALSE(cusum_of(sheep));
    StationSettings zero = scored_station();
    zero.scoring.limit_percent = 0.0;
    CHECK_FALSE(cusum_of(zero));
}

TEST_CASE("A tenth vocal signals soon, and the rate is over when it has been usual for a while") {
    RateWatch rates(scored_station());
    int signalled_at = 0;
    for (int i = 1; i <= 200 && signalled_at == 0; ++i) {
        if (rates.add(passage(i % 10 == 0))) signalled_at = i;
    }
    CHECK(signalled_at > 20);
    CHECK(signalled_at <= 60);
    CHECK_FALSE(rates.rate_is_over());
    for (int i = 0; i < 19; ++i) rates.add(passage(false));
    CHECK_FALSE(rates.rate_is_over());
    rates.add(passage(false));
    CHECK(rates.rate_is_over());
}

TEST_CASE("Four of the last twenty vocal are many, one less is not") {
    RateWatch rates(scored_station());
    for (int i = 0; i < 3; ++i) rates.add(passage(true));
    CHECK_FALSE(rates.many_vocal());
    for (int i = 0; i < 16; ++i) rates.add(passage(false));
    rates.add(passage(true)); // the twentieth: four of twenty
    CHECK(rates.many_vocal());
    rates.add(passage(false)); // the first falls out
    CHECK_FALSE(rates.many_vocal());
}

TEST_CASE("Six second stuns of the last hundred are too many at 95 %, as soon as they are there") {
    RateWatch rates(scored_station());
    for (int i = 0; i < 5; ++i) rates.add(passage(false, 2));
    CHECK_FALSE(rates.stunned_once_low());
    rates.add(passage(false, 2));
    CHECK(rates.stunned_once_low());
    for (int i = 0; i < 95; ++i) rates.add(passage(false, 1));
    CHECK_FALSE(rates.stunned_once_low());
}

TEST_CASE("Passages that were not scored count for no rate") {
    RateWatch rates(scored_station());
    for (int i = 0; i < 50; ++i) {
        Passage deaf = passage(true);
        deaf.excluded = "silent";
        CHECK_FALSE(rates.add(deaf));
    }
    CHECK_FALSE(rates.many_vocal());
    CHECK(rates.silent_passages() == 0);
}

TEST_CASE("Five hundred passages without any call are suspicious, and a call of any kind ends that") {
    RateWatch rates(scored_station());
    for (int i = 0; i < 500; ++i) rates.add(passage(false));
    CHECK(rates.nothing_heard());
    rates.heard_call();
    CHECK_FALSE(rates.nothing_heard());
}
