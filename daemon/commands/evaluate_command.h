// `quietpass evaluate`: how well the ears hear, measured against a truth: scored shifts, labelled clips or
// both. Prints a table and, asked to, writes CSV and JSON (daemon/evaluation/FORMATS.md). Throws Failure.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace quietpass {

struct EvaluateOptions {
    std::vector<std::string> shifts;
    std::string truth; // empty: the truth.csv beside each shift
    double entry_within_s = 0.5;
    std::string clips; // folder
    std::string manifest;
    std::vector<std::string> labels;
    std::string species;               // of the clips: cattle | pig
    std::string profile;               // empty: the shipped one
    std::vector<std::string> of_folds; // a profile a fold, in place of `profile`
    std::string rates;                 // empty: those of the other shifts
    std::string out;                   // empty: only the table
    std::uint64_t seed = 1;
    int jobs = 0; // 0: as many as there are processors
};

void evaluate(const EvaluateOptions& options);

} // namespace quietpass
