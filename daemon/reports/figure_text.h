// Figures of a report as its page prints them: the same digits as in CSV and JSON. Pure; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "daemon/records/local_time.h"
#include "daemon/reports/report_figures.h"

namespace quietpass {

std::string percent_figure(double percent); // "3.13"
std::string seconds_figure(double seconds); // "8.2"
std::string limit_figure(double percent);   // "5", "3.5"

// range: ReportWords::range, how a value stands with its interval. "3.20 (1.85 to 5.61)"
std::string ratio_figure(const RatioFigures& ratio, const std::string& range);
// "3.13 (2.07 to 4.69)"; a dash where there is none.
std::string share_figure(const CountedShare& share, const std::string& range);
// "12.3"; a dash where there is none.
std::string seconds_or_dash(const std::optional<double>& seconds);

std::string minute_text(const LocalTime& time, std::int64_t utc_ns);     // "2026-03-02 06:00"
std::string day_minute_text(const LocalTime& time, std::int64_t utc_ns); // "03-02 06:00"
std::string clock_text(const LocalTime& time, std::int64_t utc_ns);      // "06:00"

} // namespace quietpass
