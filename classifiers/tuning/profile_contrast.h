// What two profiles make of the same recording: the calls both hear, those only one hears, and how each does
// against what is known. Only calls that count. Pure; any thread.
#pragma once

#include <map>
#include <span>
#include <string>
#include <vector>

#include "classifiers/heard_call.h"
#include "classifiers/tuning/clip.h"

namespace quietpass::tuning {

struct Contrast {
    int both = 0; // calls of the second that overlap one of the first
    std::vector<HeardCall> only_first;
    std::vector<HeardCall> only_second;
};

// Both in order of start. Calls are the same when they overlap.
Contrast contrast(std::span<const HeardCall> first, std::span<const HeardCall> second);

struct KnownFigures {
    int calls = 0;  // spans known to be calls
    int found = 0;  // with at least half of the shorter one, span or call heard, in common
    int others = 0; // spans known to be something else, grunts too
    int others_called = 0;
    std::map<std::string, int> called_by; // of others_called, by what they were
    int unknown = 0;                      // calls heard that meet no span
};

// kind: the class of what is labelled kOther. kIgnore spans take the calls heard there out of every figure.
void count_known(std::span<const Span> known, const std::string& kind, std::span<const HeardCall> heard,
                 KnownFigures& figures);

} // namespace quietpass::tuning
