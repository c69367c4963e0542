#include <catch2/catch.hpp>
#include <string>

#include "daemon/failure.h"
#include "daemon/settings/station_file.h"
#include "tests/settings/station_texts.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

ClipSettings clips_in(const std::string& clips) {
    const TestFolder folder;
    return read_station_file(folder.write("s.toml", kWhole + clips)).clips;
}

std::string refusal_of(const std::string& clips) {
    try {
        clips_in(clips);
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == kExitUsage);
        return failure.what();
    }
    return "";
}

} // namespace

TEST_CASE("A station file without [clips] keeps clips of calls, alarms and some quiet passages, nothing else",
          "[settings]") {
    const ClipSettings clips = clips_in("");
    CHECK(clips.calls == ClippedCalls::kHeard);
    CHECK(clips.alarms);
    CHECK(clips.before_s == 2.0);
    CHECK(clips.after_s == 2.0);
    CHECK(clips.quiet_percent == 1.0);
    CHECK_FALSE(clips.continuous_from_utc_ns);
    CHECK_FALSE(clips.mask_speech);
    CHECK_FALSE(clips.continuous_until_utc_ns);
    CHECK(clips.bits == 24);
    CHECK(clips.keep_days == 60.0);
    CHECK(clips.any());
}

TEST_CASE("[clips] is read key by key", "[settings]") {
    const ClipSettings clips = clips_in(
        "[clips]\ncalls = \"counted\"\nalarms = false\nbefore_s = 3\nafter_s = 1\nlongest_s = 60\n"
        "quiet_percent = 2.5\nquiet_seed = 77\ncontinuous_from = \"2026-03-02T13:00:00Z\"\n"
        "continuous_until = \"2026-03-02T15:00:00Z\"\nformat = \"flac16\"\nmemory_s = 240\nkeep_days = 30\n"
        "keep_mb = 5000\nmin_free_mb = 1000\nbasis = \"agreement of the plant\"\n");
    CHECK(clips.calls == ClippedCalls::kCounted);
    CHECK_FALSE(clips.alarms);
    CHECK(clips.before_s == 3.0);
    CHECK(clips.after_s == 1.0);
    CHECK(clips.longest_s == 60.0);
    CHECK(clips.quiet_percent == 2.5);
    CHECK(clips.quiet_seed == 77);
    REQUIRE(clips.continuous_from_utc_ns);
    CHECK(*clips.continuous_until_utc_ns - *clips.continuous_from_utc_ns == 7'200'000'000'000);
    CHECK(clips.bits == 16);
    CHECK(clips.memory_s == 240.0);
    CHECK(clips.keep_days == 30.0);
    CHECK(clips.keep_mb == 5000.0);
    CHECK(clips.min_free_mb == 1000.0);
    CHECK(clips.basis == "agreement of the plant");
}

TEST_CASE("All of it can be switched off", "[settings]") {
    CHECK_FALSE(clips_in("[clips]\ncalls = \"none\"\nalarms = false\nquiet_percent = 0\n").any());
}

TEST_CASE("Continuous recording has an end, within a day", "[settings]") {
    CHECK(refusal_of("[clips]\ncontinuous_from = \"2026-03-02T13:00:00Z\"\n").find("continuous_until") !=
          std::string::npos);
    CHECK(refusal_of("[clips]\ncontinuous_until = \"2026-03-02T13:00:00Z\"\n").find("continuous_from") !=
          std::string::npos);
    CHECK(refusal_of("[clips]\ncontinuous_from = \"2026-03-02T13:00:00Z\"\n"
                     "continuous_until = \"2026-03-04T13:00:00Z\"\n")
              .find("24 hours") != std::string::npos);
    CHECK(refusal_of("[clips]\ncontinuous_from = \"06:00\"\ncontinuous_until = \"2026-03-02T13:00:00Z\"\n")
              .find("a moment in UTC") != std::string::npos);
}

TEST_CASE("What can't be is refused with its key", "[settings]") {
    CHECK(refusal_of("[clips]\nmemory_s = 60\n").find("memory_s") != std::string::npos);
    CHECK(refusal_of("[clips]\nkeep_days = 0\n").find("keep_days") != std::string::npos);
    CHECK(refusal_of("[clips]\nformat = \"mp3\"\n").find("flac16") != std::string::npos);
    CHECK(refusal_of("[clips]\nkeep = 3\n").find("keep") != std::string::npos);
    CHECK(refusal_of("[clips]\nquiet_seed = 1.5\n").find("whole number") != std::string::npos);
}

TEST_CASE("A station that masks speech keeps no clips that are nothing but noise then", "[clips]") {
    CHECK(clips_in("[clips]\nmask_speech = true\nquiet_percent = 0\n").mask_speech);
    CHECK(refusal_of("[clips]\nmask_speech = true\n").find("quiet_percent = 0") != std::string::npos);
    CHECK(refusal_of("[clips]\nmask_speech = true\nquiet_percent = 0\ncontinuous_from = "
                     "\"2026-03-02T13:00:00Z\"\ncontinuous_until = \"2026-03-02T15:00:00Z\"\n")
              .find("continuous") != std::string::npos);
}
