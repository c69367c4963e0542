// Edges written as one line of words, run through a Cycle: "entered 10 held 15 -held 17 stunned 20" (a minus
// opens the contact). What came out is printed by one line a passage, so that a test reads as a table: see
// passage_line().
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/contacts/edge.h"
#include "daemon/passages/cycle.h"

namespace quietpass {

std::vector<Edge> edges_from(std::string_view words);

struct Outcome {
    std::vector<Passage> passages;
    std::vector<std::pair<Edge, std::string>> strays;
    std::vector<std::pair<double, double>> stops;
};

// Everything that can be taken from the cycle now is added to the outcome.
void drain(Cycle& cycle, Outcome& outcome);

// "1: 10 held 15 stunned 20 released 25 end 25 [second_stun] !no_animal"
std::string passage_line(const Passage& passage);
std::vector<std::string> lines_of(const Outcome& outcome);
// "held 15: no second edge told of an animal"
std::vector<std::string> stray_lines_of(const Outcome& outcome);

// Runs the edges through a cycle with these roles wired; finishes at end_s.
Outcome outcome_of(const RestraintSettings& settings, std::span<const Role> wired, std::string_view words,
                   double end_s);

// "2 held", or the reason where the moment is in no passage.
std::string placed(const Cycle& cycle, double onset_s, MicrophoneZone zone = MicrophoneZone::kAll);

} // namespace quietpass
