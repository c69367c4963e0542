// `quietpass detect`: the calls in audio files, one tab-separated line each on standard output, in the order
// of the files however many are heard at a time. A file that can't be read is one line on standard error; the
// others are still heard, and at the end it throws Failure with the worst of the exit codes.
#pragma once

#include <string>
#include <vector>

namespace quietpass {

struct DetectOptions {
    std::string species; // cattle | pig
    std::string profile; // empty: the shipped one
    std::vector<std::string> files;
    int jobs = 0; // files, or channels of one, heard at a time; 0: as many as there are processors
};

void detect(const DetectOptions& options);

} // namespace quietpass
