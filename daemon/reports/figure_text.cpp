#include "daemon/reports/figure_text.h"

#include <fmt/format.h>

#include <cmath>

namespace quietpass {

namespace {

std::string ratio_number(double value) {
    return std::isinf(value) ? "∞" : fmt::format("{:.{}f}", value, kRatioDecimals);
}

} // namespace

std::string percent_figure(double percent) {
    return fmt::format("{:.{}f}", percent, kPercentDecimals);
}

std::string seconds_figure(double seconds) {
    return fmt::format("{:.{}f}", seconds, kSecondsDecimals);
}

std::string limit_figure(double percent) {
    return fmt::format("{:g}", percent);
}

std::string ratio_figure(const RatioFigures& ratio, const std::string& range) {
    return fmt::format(fmt::runtime(range), ratio_number(ratio.value), ratio_number(ratio.low),
                       ratio_number(ratio.high));
}

std::string share_figure(const CountedShare& share, const std::string& range) {
    if (!share.percent) return "–";
    return fmt::format(fmt::runtime(range), percent_figure(*share.percent),
                       percent_figure(*share.percent_low), percent_figure(*share.percent_high));
}

std::string seconds_or_dash(const std::optional<double>& seconds) {
    return seconds ? seconds_figure(*seconds) : "–";
}

std::string minute_text(const LocalTime& time, std::int64_t utc_ns) {
    return time.text(utc_ns).substr(0, 16);
}

std::string day_minute_text(const LocalTime& time, std::int64_t utc_ns) {
    return time.text(utc_ns).substr(5, 11);
}

std::string clock_text(const LocalTime& time, std::int64_t utc_ns) {
    return time.text(utc_ns).substr(11, 5);
}

} // namespace quietpass
