#include "tests/scenario/wav_writer.h"

#include <sndfile.h>

#include <cmath>
#include <cstdio>

#include "daemon/failure.h"

namespace quietpass::scenario {

namespace {

std::string unfinished(const std::string& path) {
    return path + ".part";
}

[[noreturn]] void fail(const std::string& path, const std::string& why) {
    throw Failure(kExitFailure,
                  path + ": can't be written (" + why + "): check the folder and the space left");
}

} // namespace

WavWriter::WavWriter(const std::string& path, int channels, int sample_rate_hz, bool float_samples,
                     std::int64_t frames)
    : path_(path), float_samples_(float_samples) {
    const std::int64_t bytes = frames * channels * (float_samples ? 4 : 2);
    SF_INFO info{};
    info.channels = channels;
    info.samplerate = sample_rate_hz;
    info.format = (bytes > 4'000'000'000 ? SF_FORMAT_RF64 : SF_FORMAT_WAV) |
                  (float_samples ? SF_FORMAT_FLOAT : SF_FORMAT_PCM_16);
    file_ = sf_open(unfinished(path).c_str(), SFM_WRITE, &info);
    if (file_ == nullptr) fail(path, sf_strerror(nullptr));
    sf_command(file_, SFC_SET_ADD_PEAK_CHUNK, nullptr, SF_FALSE); // it holds the time of writing
}

WavWriter::~WavWriter() {
    if (file_ == nullptr) return;
    sf_close(file_);
    std::remove(unfinished(path_).c_str());
}

void WavWriter::write(std::span<const std::span<const float>> channels) {
    const std::size_t frames = channels.front().size();
    const std::size_t width = channels.size();
    floats_.resize(frames * width);
    for (std::size_t c = 0; c < width; ++c) {
        for (std::size_t i = 0; i < frames; ++i) {
            float value = channels[c][i];
            if (value > 1.0F || value < -1.0F) {
                ++clipped_;
                value = value > 0.0F ? 1.0F : -1.0F;
            }
            floats_[i * width + c] = value;
        }
    }
    sf_count_t written = 0;
    if (float_samples_) {
        written = sf_writef_float(file_, floats_.data(), static_cast<sf_count_t>(frames));
    } else {
        shorts_.resize(floats_.size());
        for (std::size_t i = 0; i < floats_.size(); ++i) {
            shorts_[i] = static_cast<short>(std::lrintf(floats_[i] * 32767.0F));
        }
        written = sf_writef_short(file_, shorts_.data(), static_cast<sf_count_t>(frames));
    }
    if (written != static_cast<sf_count_t>(frames)) fail(path_, sf_strerror(file_));
}

void WavWriter::finish() {
    const int closed = sf_close(file_);
    file_ = nullptr;
    if (closed != 0) fail(path_, sf_error_number(closed));
    if (std::rename(unfinished(path_).c_str(), path_.c_str()) != 0) fail(path_, "rename failed");
}

} // namespace quietpass::scenario
