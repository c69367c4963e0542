#include "daemon/clips/clip_plan.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

StationCall call(std::int64_t id, double start_s, double end_s, std::int64_t passage_id = 1,
                 Phase phase = Phase::kHeld) {
    StationCall call;
    call.id = id;
    call.heard.start_s = start_s;
    call.heard.end_s = end_s;
    call.passage_id = passage_id;
    call.phase = phase;
    call.counted = phase != Phase::kAfterStun;
    return call;
}

Passage passage(std::int64_t id, double entered_s, double stunned_s, double end_s) {
    Passage passage;
    passage.id = id;
    passage.entered_s = entered_s;
    passage.stunned_s = stunned_s;
    passage.end_s = end_s;
    passage.stuns = 1;
    return passage;
}

AlarmEventRow alarm(const std::string& cause, std::int64_t alarm_id, std::int64_t passage_id,
                    const std::string& event = "raised") {
    AlarmEventRow row;
    row.cause = cause;
    row.alarm_id = alarm_id;
    row.passage_id = passage_id;
    row.event = event;
    return row;
}

ClipPlan plan_of(const ClipSettings& settings = {}) {
    return ClipPlan(settings, [](double time_s) { return time_s < 1000.0 ? 7 : 8; });
}

ClipSettings no_sample() {
    ClipSettings settings;
    settings.quiet_percent = 0.0;
    return settings;
}

std::vector<ClipWish> all_until(ClipPlan& plan, double heard_s, std::optional<StationUtc> utc = {}) {
    plan.advance(heard_s, utc);
    std::vector<ClipWish> all;
    ClipWish wish;
    while (plan.take(wish)) all.push_back(wish);
    return all;
}

} // namespace

TEST_CASE("A call's clip has two seconds before and after, and is there when those were heard", "[clips]") {
    ClipPlan plan = plan_of();
    plan.on_call(call(17, 100.0, 101.5, 12));
    CHECK(all_until(plan, 103.4).empty());
    const auto wishes = all_until(plan, 103.5);
    REQUIRE(wishes.size() == 1);
    CHECK(wishes[0].why == ClipWhy::kCall);
    CHECK(wishes[0].start_s == 98.0);
    CHECK(wishes[0].end_s == 103.5);
    CHECK(wishes[0].shift_id == 7);
    CHECK(wishes[0].passage_id == 12);
    CHECK(wishes[0].call_id == 17);
    CHECK_FALSE(wishes[0].alarm_id);
    CHECK(all_until(plan, 200.0).empty());
}

TEST_CASE("Calls that overlap have a clip each", "[clips]") {
    ClipPlan plan = plan_of();
    plan.on_call(call(1, 10.0, 12.0));
    plan.on_call(call(2, 11.0, 13.0));
    CHECK(all_until(plan, 15.0).size() == 2);
}

TEST_CASE("Which calls have clips is a setting; a grunt never has one", "[clips]") {
    ClipSettings settings = no_sample();
    settings.calls = GENERATE(ClippedCalls::kHeard, ClippedCalls::kCounted, ClippedCalls::kNone);
    ClipPlan plan = plan_of(settings);
    StationCall waiting = call(1, 10.0, 11.0);
    waiting.passage_id.reset();
    waiting.counted = false;
    StationCall grunt = call(2, 20.0, 21.0);
    grunt.heard.kind = CallKind::kGrunt;
    grunt.counted = false;
    plan.on_call(waiting);
    plan.on_call(grunt);
    plan.on_call(call(3, 30.0, 31.0));
    plan.on_call(call(4, 40.0, 41.0, 1, Phase::kAfterStun));
    const std::size_t expected = settings.calls == ClippedCalls::kHeard     ? 3
                                 : settings.calls == ClippedCalls::kCounted ? 2
                                                                            : 0;
    CHECK(all_until(plan, 100.0).size() == expected);
}

TEST_CASE("A call after the stun that raised an alarm is that alarm's clip", "[clips]") {
    ClipSettings settings = no_sample();
    settings.calls = GENERATE(ClippedCalls::kHeard, ClippedCalls::kNone);
    ClipPlan plan = plan_of(settings);
    plan.on_after_stun_call(call(0, 50.0, 51.0, 3, Phase::kAfterStun));
    plan.on_alarm(alarm("call_after_stun", 5, 3));
    plan.on_call(call(9, 50.0, 51.2, 3, Phase::kAfterStun));
    plan.on_passage(passage(3, 30.0, 45.0, 60.0));
    const auto wishes = all_until(plan, 80.0);
    REQUIRE(wishes.size() == 1);
    CHECK(wishes[0].why == ClipWhy::kAlarm);
    CHECK(wishes[0].alarm_id == 5);
    CHECK(wishes[0].call_id == 9);
    CHECK(wishes[0].end_s == Approx(53.2));
    // A reminder of it is no news.
    plan.on_alarm(alarm("call_after_stun", 5, 3, "again"));
    CHECK(all_until(plan, 90.0).empty());
}

TEST_CASE("A call after the stun that was told and never came again has its alarm's clip all the same",
          "[clips]") {
    ClipPlan plan = plan_of(no_sample());
    plan.on_after_stun_call(call(0, 50.0, 51.0, 3, Phase::kAfterStun));
    plan.on_alarm(alarm("call_after_stun", 5, 3));
    CHECK(all_until(plan, 59.0).empty());
    plan.on_passage(passage(3, 30.0, 45.0, 60.0));
    const auto wishes = all_until(plan, 61.0);
    REQUIRE(wishes.size() == 1);
    CHECK(wishes[0].start_s == 48.0);
    CHECK(wishes[0].alarm_id == 5);
    CHECK_FALSE(wishes[0].call_id);
}

TEST_CASE("A second stun's clip is its passage from the first stun on, once", "[clips]") {
    ClipPlan plan = plan_of(no_sample());
    Passage stunned_twice = passage(4, 30.0, 45.0, 60.0);
    stunned_twice.stuns = 2;
    plan.on_passage(stunned_twice);
    plan.on_alarm(alarm("second_stun", 6, 4));
    plan.on_alarm(alarm("second_stun", 6, 4, "again"));
    plan.on_alarm(alarm("microphone_lost", 7, 4));
    plan.on_alarm(alarm("second_stun", 6, 99));
    const auto wishes = all_until(plan, 62.0);
    REQUIRE(wishes.size() == 1);
    CHECK(wishes[0].why == ClipWhy::kAlarm);
    CHECK(wishes[0].start_s == 43.0);
    CHECK(wishes[0].end_s == 62.0);
    CHECK(wishes[0].passage_id == 4);
}

TEST_CASE("A second stun that is told before its passage has ended has the same clip", "[clips]") {
    ClipPlan plan = plan_of(no_sample());
    plan.on_second_stun({.passage_id = 4, .first_s = 45.0, .again_s = 48.0, .stuns = 2});
    plan.on_alarm(alarm("second_stun", 6, 4));
    CHECK(all_until(plan, 59.0).empty());
    Passage stunned_twice = passage(4, 30.0, 45.0, 60.0);
    stunned_twice.stuns = 2;
    plan.on_passage(stunned_twice);
    const auto wishes = all_until(plan, 62.0);
    REQUIRE(wishes.size() == 1);
    CHECK(wishes[0].alarm_id == 6);
    CHECK(wishes[0].start_s == 43.0);
    CHECK(wishes[0].end_s == 62.0);
}

TEST_CASE("Of the quiet passages that were scored a share is kept, the same ones each time", "[clips]") {
    ClipSettings settings;
    settings.quiet_percent = 5.0;
    const auto sampled = [&settings] {
        ClipPlan plan = plan_of(settings);
        std::vector<std::int64_t> ids;
        for (std::int64_t id = 1; id <= 20'000; ++id) {
            Passage quiet = passage(id, 100.0, 120.0, 130.0);
            if (id % 3 == 1) quiet.vocal = true;
            if (id % 3 == 2) quiet.excluded = "silent";
            plan.on_passage(quiet);
        }
        for (const ClipWish& wish : all_until(plan, 200.0)) {
            REQUIRE(wish.why == ClipWhy::kQuiet);
            REQUIRE(wish.start_s == 98.0);
            REQUIRE(wish.end_s == 122.0);
            ids.push_back(*wish.passage_id);
        }
        return ids;
    };
    const auto ids = sampled();
    CHECK(sampled() == ids);
    // 6666 of them, 5 %: 333 and five standard deviations of 17.8.
    CHECK(ids.size() > 333 - 89);
    CHECK(ids.size() < 333 + 89);
    for (const std::int64_t id : ids) REQUIRE(id % 3 == 0);
    settings.quiet_seed = 2;
    CHECK(sampled() != ids);
    settings.quiet_percent = 100.0;
    CHECK(sampled().size() == 6666);
}

TEST_CASE("Nothing is longer than the longest clip", "[clips]") {
    ClipSettings settings;
    settings.longest_s = 30.0;
    settings.quiet_percent = 100.0;
    ClipPlan plan = plan_of(settings);
    plan.on_passage(passage(1, 100.0, 300.0, 310.0));
    const auto wishes = all_until(plan, 200.0);
    REQUIRE(wishes.size() == 1);
    CHECK(wishes[0].end_s == 128.0);
}

TEST_CASE("Everything is recorded between two moments, in pieces without a hole", "[clips]") {
    ClipSettings settings = no_sample();
    const std::int64_t zero_ns = 1'800'000'000'000'000'000;
    settings.continuous_from_utc_ns = zero_ns + 10'000'000'000;
    settings.continuous_until_utc_ns = zero_ns + 205'000'000'000;
    ClipPlan plan = plan_of(settings);
    std::vector<ClipWish> all;
    for (double heard_s = 0.5; heard_s < 400.0; heard_s += 0.5) {
        for (const ClipWish& wish : all_until(plan, heard_s, StationUtc{zero_ns, 1e9})) all.push_back(wish);
    }
    REQUIRE(all.size() == 4);
    CHECK(all.front().start_s == 10.0);
    CHECK(all.back().end_s == 205.0);
    for (std::size_t i = 1; i < all.size(); ++i) CHECK(all[i].start_s == all[i - 1].end_s);
    for (const ClipWish& wish : all) CHECK(wish.why == ClipWhy::kContinuous);
}

TEST_CASE("At the end what is under way is kept as far as it got", "[clips]") {
    ClipSettings settings = no_sample();
    const std::int64_t zero_ns = 1'800'000'000'000'000'000;
    settings.continuous_from_utc_ns = zero_ns;
    settings.continuous_until_utc_ns = zero_ns + 3'600'000'000'000;
    ClipPlan plan = plan_of(settings);
    plan.on_call(call(1, 79.0, 80.0));
    CHECK(all_until(plan, 80.0, StationUtc{zero_ns, 1e9}).size() == 1);
    plan.finish(80.0);
    std::vector<ClipWish> last;
    ClipWish wish;
    while (plan.take(wish)) last.push_back(wish);
    REQUIRE(last.size() == 2);
    CHECK(last[0].call_id == 1);
    CHECK(last[1].start_s == 60.0);
    CHECK(last[1].end_s == 80.0);
}

TEST_CASE("A clip says which calls lie in it, its neighbours' too", "[clips]") {
    ClipPlan plan = plan_of(no_sample());
    plan.on_call(call(1, 10.0, 12.0));
    plan.on_call(call(2, 13.0, 13.5));
    plan.on_call(call(3, 40.0, 41.0));
    const auto wishes = all_until(plan, 50.0);
    REQUIRE(wishes.size() == 3);
    REQUIRE(wishes[0].calls.size() == 2);
    CHECK(wishes[0].calls[1].start_s == 13.0);
    CHECK(wishes[1].calls.size() == 2);
    REQUIRE(wishes[2].calls.size() == 1);
    CHECK(wishes[2].calls[0].end_s == 41.0);
}
