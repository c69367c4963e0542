#include "daemon/commands/passage_line.h"

#include <cmath>
#include <cstdio>
#include <vector>

namespace quietpass {

namespace {

constexpr std::size_t kColumns = 80;
constexpr std::size_t kOddAt = 57; // where the last column begins

std::string seconds(double from_s, double to_s) {
    if (std::isnan(from_s) || std::isnan(to_s)) return "-";
    char text[16];
    std::snprintf(text, sizeof text, "%.1f", to_s - from_s);
    return text;
}

std::string heard_of(const Passage& passage) {
    if (!passage.excluded.empty()) return "not scored";
    if (!passage.vocal) return "silent";
    return passage.calls == 1 ? "VOCAL, 1 call" : "VOCAL, " + std::to_string(passage.calls) + " calls";
}

// What is told of it, in pieces that are not broken.
std::vector<std::string> odd_of(const Passage& passage, bool cuts) {
    std::vector<std::string> odd;
    if (passage.calls_after_stun > 0) {
        odd = cuts ? std::vector<std::string>{"call after the cut"}
                   : std::vector<std::string>{"CALL AFTER STUN:", "check the animal"};
    }
    if (!passage.excluded.empty()) odd.push_back(passage.excluded);
    odd.insert(odd.end(), passage.flags.begin(), passage.flags.end());
    return odd;
}

} // namespace

std::string passage_line_header(bool cuts) {
    return cuts ? "passage entered s  to cut held s  cuts  heard            what was odd\n"
                : "passage entered s to stun held s stuns  heard            what was odd\n";
}

std::string passage_line_of(const Passage& passage, bool cuts) {
    char begin[96];
    std::snprintf(begin, sizeof begin, "%7lld %9.1f %7s %6s %5d  %-16s", static_cast<long long>(passage.id),
                  passage.entered_s, seconds(passage.entered_s, passage.stunned_s).c_str(),
                  seconds(passage.held_s, passage.stunned_s).c_str(), passage.stuns,
                  heard_of(passage).c_str());
    std::string line = begin;
    std::string lines;
    for (const std::string& piece : odd_of(passage, cuts)) {
        if (line.size() > kOddAt && line.size() + 1 + piece.size() > kColumns) {
            lines += line + '\n';
            line.assign(kOddAt - 1, ' ');
        }
        line += ' ' + piece;
    }
    line.erase(line.find_last_not_of(' ') + 1);
    return lines + line + '\n';
}

} // namespace quietpass
