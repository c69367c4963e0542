#include "tests/capture/sound_files.h"

#include <sndfile.h>
#include <stdlib.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <random>
#include <stdexcept>

namespace quietpass::tests {

std::vector<float> noise(int seconds, int channels, int rate_hz, unsigned seed) {
    std::mt19937 random(seed);
    std::vector<float> samples(static_cast<std::size_t>(seconds) * static_cast<std::size_t>(rate_hz) *
                               static_cast<std::size_t>(channels));
    for (float& sample : samples)
        sample = static_cast<float>(static_cast<int>(random() % 60001) - 30000) / 32768.0F;
    return samples;
}

void write_sound(const std::string& path, const std::vector<float>& interleaved, int channels, int rate_hz,
                 int format) {
    SF_INFO info{};
    info.channels = channels;
    info.samplerate = rate_hz;
    info.format = format;
    SNDFILE* file = sf_open(path.c_str(), SFM_WRITE, &info);
    if (file == nullptr) throw std::runtime_error(path + ": " + sf_strerror(nullptr));
    const auto frames = static_cast<sf_count_t>(interleaved.size()) / channels;
    sf_count_t written = 0;
    if ((format & SF_FORMAT_SUBMASK) == SF_FORMAT_PCM_16 ||
        (format & SF_FORMAT_SUBMASK) == SF_FORMAT_PCM_24) {
        // libsndfile would scale floats by 32767 when it writes and by 1/32768 when it reads.
        std::vector<int> steps(interleaved.size());
        std::transform(interleaved.begin(), interleaved.end(), steps.begin(),
                       [](float sample) { return static_cast<int>(sample * 2147483648.0F); });
        written = sf_writef_int(file, steps.data(), frames);
    } else {
        written = sf_writef_float(file, interleaved.data(), frames);
    }
    sf_close(file);
    if (written != frames) throw std::runtime_error(path + ": not all written");
}

void write_wav16(const std::string& path, const std::vector<float>& interleaved, int channels, int rate_hz) {
    write_sound(path, interleaved, channels, rate_hz, SF_FORMAT_WAV | SF_FORMAT_PCM_16);
}

void write_bytes(const std::string& path, const std::string& bytes) {
    std::ofstream(path, std::ios::binary) << bytes;
}

std::string read_bytes(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

} // namespace quietpass::tests
