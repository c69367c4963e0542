// `quietpass detect`: the calls in audio files, one tab-separated line each on standard output. Throws
// Failure.
#pragma once

#include <string>
#include <vector>

namespace quietpass {

struct DetectOptions {
    std::string species; // cattle | pig
    std::string profile; // empty: the shipped one
    std::vector<std::string> files;
};

void detect(const DetectOptions& options);

} // namespace quietpass
