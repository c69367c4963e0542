// `quietpass score`: the whole chain on files, faster than real time. Writes calls.csv, passages.csv,
// shift.json and shift.db into a folder, with --clips also clips/, all or none: a microphone whose file can't
// be read to its end leaves no shift to score. Throws Failure.
//
// The files are heard side by side, a few seconds at a time; microphones, and files while they are read, are
// shared out over `jobs` threads. The result doesn't depend on their number.
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
    std::string calibrations;       // calibrations.csv; empty: the one in `out`, if there is one
    bool clips = false;             // files the clips too that the daemon would have filed
    int jobs = 0;                   // microphones heard at a time; 0: as many as there are processors
};

void score(const ScoreOptions& options);

} // namespace quietpass
