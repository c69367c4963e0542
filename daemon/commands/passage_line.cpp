#include "daemon/commands/passage_line.h"

#include <cmath>
#include <cstdio>
#include <string>

namespace quietpass {

namespace {

std::string seconds(double from_s, double to_s) {
    if (std::isnan(from_s) || std::isnan(to_s)) return "-";
    char text[16];
    std::snprintf(text, sizeof text, "%.1f", to_s - from_s);
    return text;
}

std::string verdict_of(const Passage& passage) {
    if (!passage.excluded.empty()) return "not scored: " + passage.excluded;
    if (!passage.vocal) return "silent";
    return passage.calls == 1 ? "VOCAL, 1 call" : "VOCAL, " + std::to_string(passage.calls) + " calls";
}

} // namespace

void show_passage_header() {
    std::printf("%7s %9s %9s %7s %7s  %-16s %s\n", "passage", "entered s", "to stun s", "held s", "stuns",
                "heard", "what was odd");
    std::fflush(stdout);
}

void show_passage(const Passage& passage) {
    std::string odd;
    if (passage.calls_after_stun > 0) odd = "CALL AFTER STUN: check the animal";
    for (const std::string& flag : passage.flags) odd += (odd.empty() ? "" : ", ") + flag;
    std::printf("%7lld %9.1f %9s %7s %7d  %-16s %s\n", static_cast<long long>(passage.id), passage.entered_s,
                seconds(passage.entered_s, passage.stunned_s).c_str(),
                seconds(passage.held_s, passage.stunned_s).c_str(), passage.stuns,
                verdict_of(passage).c_str(), odd.c_str());
    std::fflush(stdout);
}

} // namespace quietpass
