#include "daemon/commands/health_news.h"

#include <fmt/format.h>

#include <utility>

#include "daemon/health/minute_trouble.h"

namespace quietpass {

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
