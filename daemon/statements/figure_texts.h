// Figures as commands print them for people. Pure; any thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/statistics/risk_ratio.h"
#include "daemon/factors/passage_facts.h"
#include "daemon/records/local_time.h"

namespace quietpass {

std::string counts_text(const evaluation::Rate& rate);                     // "8/100"
std::string ratio_text(const std::optional<statistics::RiskRatio>& ratio); // "1.9 (1.1-3.2)"
std::string p_text(double p);                                              // "0.035", "<0.001"

// When a passage was entered: the station's time, or seconds where files had no date.
std::string entered_text(const SpanPassage& passage, const LocalTime& time);

// "400 passages, 380 scored; not scored: overrun 12, silent 8."
std::string coverage_words(const std::vector<PassageFacts>& facts);

inline constexpr const char* kLotsCaution =
    "Animals of one lot are not independent: where lots differ, the true intervals are wider and p is "
    "larger.";

} // namespace quietpass
