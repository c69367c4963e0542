// A sound file as a source: any rate and any number of channels that libsndfile reads.
//
// The constructor throws Failure: exit 2 for a path that isn't there, exit 1 for a file that is empty, is not
// audio, ends before its header says, or holds samples that are not finite numbers (files of floats are read
// through once for that; integers can't). Threads: one each; several may read files of their own.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "daemon/capture/audio_source.h"

namespace quietpass {

class FileSource final : public AudioSource {
  public:
    explicit FileSource(const std::string& path, int frames_at_a_time = 4096);
    ~FileSource() override;

    int channels() const override { return channels_; }
    double sample_rate_hz() const override { return rate_hz_; }
    bool next(Stretch& stretch, std::int64_t deadline_ns = 0) override;

    // Samples of one channel in the whole file.
    std::int64_t length() const { return length_; }

  private:
    struct File;
    std::unique_ptr<File> file_;
    std::string path_;
    int channels_ = 0;
    double rate_hz_ = 0.0;
    std::int64_t length_ = 0;
    std::int64_t index_ = 0;
    std::vector<float> interleaved_;
};

} // namespace quietpass
