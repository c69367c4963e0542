#include "daemon/settings/clips_table.h"

#include <array>

#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

constexpr std::int64_t kLongestContinuous_ns = 24LL * 3600 * 1'000'000'000;
constexpr NumberRange kClipSeconds{0.0, 60.0, "a number of seconds"};
constexpr NumberRange kMegabytes{0.0, 1e9, "a number of megabytes"};

std::int64_t moment(StrictTable& table, const char* key) {
    constexpr std::string_view kForm = "a moment in UTC, as \"2026-03-02T13:00:00Z\"";
    const std::string text = table.text(key, kForm);
    if (const auto utc_ns = utc_from_text(text)) return *utc_ns;
    table.fail(key, "expected " + std::string(kForm) + ", found \"" + text + "\"");
}

// Both ends, so that a station never goes on recording because somebody forgot.
void read_continuous(StrictTable& table, ClipSettings& clips) {
    if (!table.has("continuous_from") && !table.has("continuous_until")) return;
    clips.continuous_from_utc_ns = moment(table, "continuous_from");
    clips.continuous_until_utc_ns = moment(table, "continuous_until");
    const std::int64_t length_ns = *clips.continuous_until_utc_ns - *clips.continuous_from_utc_ns;
    if (length_ns <= 0 || length_ns > kLongestContinuous_ns) {
        table.fail("continuous_until", "expected a moment later than continuous_from by 24 hours at most");
    }
}

// A masked clip without a call is noise: neither misses nor a profile can be found in it. And a station that
// masks must not keep other clips in which people can be understood.
void read_mask(StrictTable& table, ClipSettings& clips) {
    clips.mask_speech = table.flag_or("mask_speech", clips.mask_speech);
    if (!clips.mask_speech) return;
    if (clips.quiet_percent > 0.0 || clips.continuous_until_utc_ns) {
        table.fail("mask_speech",
                   "expected quiet_percent = 0 and no continuous_… with it: masked, these "
                   "clips would be nothing but noise");
    }
}

} // namespace

void read_clips(StrictTable& table, ClipSettings& clips) {
    constexpr std::array kCalls = {ClippedCalls::kHeard, ClippedCalls::kCounted, ClippedCalls::kNone};
    clips.calls = kCalls[table.word_or("calls", {"heard", "counted", "none"}, 0)];
    clips.alarms = table.flag_or("alarms", clips.alarms);
    clips.before_s = table.number_or("before_s", kClipSeconds, clips.before_s);
    clips.after_s = table.number_or("after_s", kClipSeconds, clips.after_s);
    clips.quiet_percent = table.number_or("quiet_percent", {0.0, 100.0, "a percentage"}, clips.quiet_percent);
    const double seed = table.number_or("quiet_seed", {0.0, 1e9, "a whole number"}, 1.0);
    clips.quiet_seed = static_cast<std::int64_t>(seed);
    if (seed != static_cast<double>(clips.quiet_seed)) table.fail("quiet_seed", "expected a whole number");
    read_continuous(table, clips);
    read_mask(table, clips);

    clips.bits = table.word_or("format", {"flac16", "flac24"}, 1) == 0 ? 16 : 24;
    clips.longest_s = table.number_or("longest_s", {10.0, 600.0, "a number of seconds"}, clips.longest_s);
    clips.memory_s = table.number_or("memory_s", {60.0, 1800.0, "a number of seconds"}, clips.memory_s);
    if (clips.memory_s < clips.longest_s + 30.0) {
        table.fail(table.has("memory_s") ? "memory_s" : "longest_s",
                   "expected memory_s to be longest_s and 30 s more, or longer");
    }
    clips.keep_days = table.number_or("keep_days", {0.0, 36500.0, "a number of days", true}, clips.keep_days);
    clips.keep_mb = table.number_or("keep_mb", kMegabytes, clips.keep_mb);
    clips.min_free_mb = table.number_or("min_free_mb", kMegabytes, clips.min_free_mb);
    clips.basis = table.text_or("basis", "whose rule keep_days is", clips.basis);
    table.finish();
}

} // namespace quietpass
