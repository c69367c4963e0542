// `quietpass score`: the whole chain on files, faster than real time. Writes calls.csv, passages.csv,
// shift.json and shift.db into a folder, all or none. Throws Failure.
#pragma once

#include <string>
#include <vector>

namespace quietpass {

struct ScoreOptions {
    std::string station;            // station file
    std::vector<std::string> audio; // each channel of each file is a microphone, in the station file's order
    std::string contacts;           // contacts.csv
    std::string out;                // folder; made when missing
    std::string start;              // UTC time of the first sample, RFC 3339; empty: unknown
};

void score(const ScoreOptions& options);

} // namespace quietpass
