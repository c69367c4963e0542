// What became of every animal of the plan in the record store: scored, excluded with a reason, or not seen
// for a reason that the records give; and every passage of the store that is no animal's.
//
// Reads the store; throws Failure. Ids and station times start anew with each session.
#pragma once

#include <deque>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "tests/soak/plan.h"
#include "tests/soak/soak_plant.h"

namespace quietpass::soak {

struct Account {
    std::size_t animals = 0; // of the plan
    std::size_t passages = 0;
    std::size_t scored = 0;
    std::map<std::string, std::size_t> excluded;   // by reason
    std::map<std::string, std::size_t> not_seen;   // by what the records say instead
    std::map<std::string, std::size_t> no_animals; // passages that are no animal's entry, by what made them
    std::map<std::string, std::size_t> gaps;       // by cause
    std::size_t vocal_scored = 0;                  // of the truth, among those scored
    std::size_t vocal_found = 0;                   // of these
    std::size_t vocal_false = 0;                   // silent ones that were taken for vocal
    std::vector<std::string> unaccounted;          // one line each; empty when all is well
    std::string digest;                            // of all passages, calls, gaps and edges
};

Account account_of(const Plan& plan, const std::deque<Session>& sessions, const std::filesystem::path& store);

} // namespace quietpass::soak
