// Writes a WAV file block by block: 16-bit or float, interleaved channels, RF64 beyond 4 GB. The bytes depend
// on the samples only (no time stamp in the file). Appears under its name at finish(); left behind
// unfinished, it is removed. Throws Failure (exit 1).
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

struct sf_private_tag;

namespace quietpass::scenario {

class WavWriter {
  public:
    WavWriter(const std::string& path, int channels, int sample_rate_hz, bool float_samples,
              std::int64_t frames);
    ~WavWriter();
    WavWriter(const WavWriter&) = delete;
    WavWriter& operator=(const WavWriter&) = delete;

    // One span a channel, of equal length. Beyond full scale samples are held there, as a converter would.
    void write(std::span<const std::span<const float>> channels);
    void finish();
    std::int64_t clipped() const { return clipped_; }

  private:
    std::string path_;
    bool float_samples_;
    sf_private_tag* file_ = nullptr;
    std::vector<float> floats_;
    std::vector<short> shorts_;
    std::int64_t clipped_ = 0;
};

} // namespace quietpass::scenario
