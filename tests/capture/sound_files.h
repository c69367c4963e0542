// Sound files for the tests of capture: noise in which every place is recognisable, and files that are wrong.
// Thread: the test's.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "tests/test_folder.h"

namespace quietpass::tests {

// Interleaved noise whose samples are whole 16-bit steps, the same for the same seed.
std::vector<float> noise(int seconds, int channels, int rate_hz = 48000, unsigned seed = 1);

// format: libsndfile's SF_FORMAT_… of container and encoding.
void write_sound(const std::string& path, const std::vector<float>& interleaved, int channels, int rate_hz,
                 int format);
void write_wav16(const std::string& path, const std::vector<float>& interleaved, int channels = 1,
                 int rate_hz = 48000);
void write_bytes(const std::string& path, const std::string& bytes);
std::string read_bytes(const std::string& path);

} // namespace quietpass::tests
