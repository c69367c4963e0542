#include "daemon/hearing/call_origin.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

const MicrophonePair kPair{
    .near = 0, .far = 1, .near_m = 0.0, .far_m = 7.0, .entrance_m = 3.0, .one_clock = true};

OriginEvidence evidence(double louder_db, double clearer_db) {
    OriginEvidence e;
    e.louder_db = louder_db;
    e.clearer_db = clearer_db;
    return e;
}

OriginEvidence with_delays(OriginEvidence e, double waiting_height, double restraint_height) {
    e.has_delay = true;
    e.spread = 0.02;
    e.waiting_delay_s = -0.019;
    e.waiting_height = waiting_height;
    e.restraint_delay_s = 0.017;
    e.restraint_height = restraint_height;
    return e;
}

Origin origin_of(const OriginEvidence& e) {
    return judge_origin(kPair, e).origin;
}

} // namespace

TEST_CASE("louder and earlier up the race is a waiting animal's") {
    CHECK(origin_of(with_delays(evidence(7.0, 6.0), 0.4, 0.1)) == Origin::kWaiting);
}

TEST_CASE("earlier up the race but not louder is in doubt: another noise fell together with the call") {
    CHECK(origin_of(with_delays(evidence(2.0, 2.0), 0.4, 0.1)) == Origin::kUnknown);
    CHECK(origin_of(with_delays(evidence(-8.0, -8.0), 0.4, 0.1)) == Origin::kUnknown);
}

TEST_CASE("just beyond the entrance a call need be hardly louder up the race") {
    OriginEvidence e = with_delays(evidence(2.0, 2.0), 0.4, 0.1);
    e.waiting_delay_s = -0.003;
    CHECK(origin_of(e) == Origin::kWaiting);
}

TEST_CASE("later up the race is the restrained animal's, whatever the levels say") {
    CHECK(origin_of(with_delays(evidence(-9.0, -9.0), 0.1, 0.4)) == Origin::kRestraint);
    CHECK(origin_of(with_delays(evidence(9.0, 9.0), 0.1, 0.4)) == Origin::kRestraint);
}

TEST_CASE("a delay that hardly stands out is none, and without one a call must be much louder up the race") {
    CHECK(origin_of(with_delays(evidence(5.0, 5.0), 0.22, 0.2)) == Origin::kUnknown);
    CHECK(origin_of(with_delays(evidence(7.0, 7.0), 0.22, 0.2)) == Origin::kWaiting);
    CHECK(origin_of(with_delays(evidence(5.0, 5.0), 0.07, 0.05)) == Origin::kUnknown);
    CHECK(origin_of(evidence(5.0, 5.0)) == Origin::kUnknown);
    CHECK(origin_of(evidence(7.0, 7.0)) == Origin::kWaiting);
    CHECK(origin_of(evidence(-1.0, -1.0)) == Origin::kRestraint);
}

TEST_CASE("neither another gain nor a noisier place alone makes a call a waiting animal's") {
    CHECK(origin_of(evidence(20.0, 0.0)) != Origin::kWaiting);
    CHECK(origin_of(evidence(0.0, 20.0)) != Origin::kWaiting);
    CHECK(origin_of(with_delays(evidence(20.0, -1.0), 0.4, 0.1)) != Origin::kWaiting);
}

TEST_CASE("the border lies at the entrance, or beyond the middle of the microphones where that is farther") {
    // An animal at x is (7 − x) − x metres nearer to the restraint's microphone.
    CHECK(waiting_delays_below_s(kPair) == Approx(-2.0 * 0.35 / 343.0));
    MicrophonePair close = kPair;
    close.far_m = 4.0;
    CHECK(waiting_delays_below_s(close) == Approx((4.0 - 2.0 * 3.0) / 343.0));
    CHECK(longest_delay_s(kPair) > 7.0 / 343.0);
}

TEST_CASE("from when on a call is a waiting animal's follows the station's settings") {
    const auto origin_by = [](auto change, const OriginEvidence& e) {
        MicrophonePair pair = kPair;
        change(pair.limits);
        return judge_origin(pair, e).origin;
    };
    // Each would be judged otherwise by the defaults (the cases above).
    CHECK(origin_by([](auto& limits) { limits.louder_alone_db = 4.5; }, evidence(5.0, 5.0)) ==
          Origin::kWaiting);
    CHECK(origin_by([](auto& limits) { limits.louder_alone_db = 8.0; }, evidence(7.0, 7.0)) ==
          Origin::kUnknown);
    const OriginEvidence at_far = with_delays(evidence(2.0, 2.0), 0.4, 0.1);
    CHECK(origin_by([](auto& limits) { limits.louder_at_far_db = 1.5; }, at_far) == Origin::kWaiting);
    OriginEvidence at_entrance = at_far;
    at_entrance.waiting_delay_s = -0.003;
    CHECK(origin_by([](auto& limits) { limits.louder_at_entrance_db = 2.5; }, at_entrance) ==
          Origin::kUnknown);
    const OriginEvidence later = with_delays(evidence(9.0, 9.0), 0.1, 0.4);
    CHECK(origin_by([](auto& limits) { limits.delay_over_noise = 30.0; }, later) == Origin::kWaiting);
    CHECK(origin_by([](auto& limits) { limits.delay_over_rival = 5.0; }, later) == Origin::kWaiting);
    MicrophonePair pair = kPair;
    pair.limits.beyond_middle_m = 1.0;
    CHECK(waiting_delays_below_s(pair) == Approx(-2.0 / 343.0));
}

TEST_CASE("the words say which microphone heard it louder and by how much earlier") {
    CHECK(words_of(judge_origin(kPair, with_delays(evidence(7.06, 6.0), 0.4, 0.1)), "head", "race") ==
          "7.1 dB louder and 19.0 ms earlier at race than at head");
    CHECK(words_of(judge_origin(kPair, with_delays(evidence(-9.0, -9.0), 0.1, 0.4)), "head", "race") ==
          "9.0 dB louder and 17.0 ms earlier at head than at race");
    CHECK(words_of(judge_origin(kPair, with_delays(evidence(1.0, 1.0), 0.1, 0.4)), "head", "race") ==
          "1.0 dB softer and 17.0 ms earlier at head than at race");
    CHECK(words_of(judge_origin(kPair, evidence(7.0, 7.0)), "head", "race") ==
          "7.0 dB louder at race than at head");
    CHECK(words_of(judge_origin(kPair, evidence(1.0, 1.0)), "head", "race").empty());
}
