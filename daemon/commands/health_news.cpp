#include "daemon/commands/health_news.h"

#include <fmt/format.h>

#include <utility>

namespace quietpass {

namespace {

// What to look at, for the sign that fills at least half of the minute's work; empty: none does.
std::string trouble_in(const MicrophoneMinute& minute) {
    const std::pair<double, const char*> signs[] = {
        {minute.silent_s, "silent: look at its plug and its cable"},
        {minute.clipped_s, "clipped: turn its gain down"},
        {minute.hum_s, "swamped by mains hum: look at its cable and its shield"},
        {minute.wind_s, "blown on or wet: look at its wind shield"},
        {minute.covered_s, "without its high end: look whether it is covered or its foam is wet"},
        {minute.level_far_s,
         "far from its usual level: look at its gain and its place; if the sound is "
         "right as it is now, start the daemon again"}};
    for (const auto& [seconds, words] : signs) {
        if (minute.worked_s > 0.0 && seconds >= 0.5 * minute.worked_s) return words;
    }
    return "";
}

} // namespace

std::optional<HealthNews::Line> HealthNews::take(const MicrophoneMinute& minute) {
    if (minute.worked_s <= 0.0) return std::nullopt;
    std::string& told = told_[minute.microphone];
    std::string trouble = trouble_in(minute);
    if (trouble == told) return std::nullopt;
    told = std::move(trouble);
    if (told.empty()) return Line{false, fmt::format("microphone {}: as usual again", minute.microphone)};
    return Line{true, fmt::format("microphone {} is {}; passages are not covered while it lasts",
                                  minute.microphone, told)};
}

} // namespace quietpass
