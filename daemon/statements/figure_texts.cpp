#include "daemon/statements/figure_texts.h"

#include <fmt/format.h>

#include <cmath>
#include <map>

namespace quietpass {

namespace {

std::string short_number(double value) {
    if (std::isinf(value)) return "inf";
    if (value < 1.0) return fmt::format("{:.2f}", value);
    return value < 10.0 ? fmt::format("{:.1f}", value) : fmt::format("{:.0f}", value);
}

} // namespace

std::string counts_text(const evaluation::Rate& rate) {
    return fmt::format("{}/{}", rate.k, rate.n);
}

std::string ratio_text(const std::optional<statistics::RiskRatio>& ratio) {
    if (!ratio) return "-";
    return short_number(ratio->value) + " (" + short_number(ratio->interval.low) + "-" +
           short_number(ratio->interval.high) + ")";
}

std::string p_text(double p) {
    return p < 0.001 ? "<0.001" : fmt::format("{:.3f}", p);
}

std::string entered_text(const SpanPassage& passage, const LocalTime& time) {
    if (passage.entered_utc_ns) return time.text(*passage.entered_utc_ns);
    return fmt::format("{:.1f} s", passage.passage.entered_s);
}

std::string coverage_words(const std::vector<PassageFacts>& facts) {
    std::map<std::string, std::int64_t> reasons;
    for (const PassageFacts& passage : facts) {
        if (!passage.scored()) ++reasons[passage.row.passage.excluded];
    }
    std::int64_t left_out = 0;
    std::string by_reason;
    for (const auto& [reason, count] : reasons) {
        left_out += count;
        by_reason += (by_reason.empty() ? "" : ", ") + reason + " " + std::to_string(count);
    }
    const auto all = static_cast<std::int64_t>(facts.size());
    return fmt::format("{} passages, {} scored{}.", all, all - left_out,
                       by_reason.empty() ? "" : "; not scored: " + by_reason);
}

} // namespace quietpass
