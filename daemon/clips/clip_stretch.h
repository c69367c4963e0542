// Part of a clip's file as one microphone heard it, read without the rest of the file.
//
// Samples are of full scale 1; positions are frames from the clip's first. Errors: Failure (exit 1) for a
// file that can't be read. One thread at a time.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <span>
#include <vector>

namespace quietpass {

class ClipStretch {
  public:
    explicit ClipStretch(const std::filesystem::path& file);
    ~ClipStretch();
    ClipStretch(ClipStretch&&) noexcept;

    double rate_hz() const;
    int channels() const;
    std::int64_t frames() const;

    // Of [from, to), in blocks, in order; both within the file.
    void each(int channel, std::int64_t from, std::int64_t to,
              const std::function<void(std::span<const float>)>& take);
    // Of [from, to), silence where that is beyond the file.
    std::vector<float> samples(int channel, std::int64_t from, std::int64_t to);

  private:
    struct Opened;
    std::unique_ptr<Opened> opened_;
};

} // namespace quietpass
