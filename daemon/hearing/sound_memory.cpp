#include "daemon/hearing/sound_memory.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

SoundMemory::SoundMemory(double rate_hz, double longest_s)
    : rate_hz_(rate_hz), longest_(static_cast<std::size_t>(longest_s * rate_hz)), resampler_(rate_hz) {}

void SoundMemory::hear(std::span<const float> samples) {
    samples_.insert(samples_.end(), samples.begin(), samples.end());
    if (size() > longest_) drop(static_cast<std::int64_t>(size() - longest_));
}

void SoundMemory::lose(std::int64_t count) {
    drop(static_cast<std::int64_t>(size()));
    first_ += count;
}

void SoundMemory::forget_before(double time_s) {
    const auto until = static_cast<std::int64_t>(std::floor(time_s * rate_hz_));
    drop(std::clamp<std::int64_t>(until - first_, 0, static_cast<std::int64_t>(size())));
}

void SoundMemory::drop(std::int64_t count) {
    first_ += count;
    gone_ += static_cast<std::size_t>(count);
    // Moving what is left costs no more than what was dropped did.
    if (gone_ < samples_.size() / 2) return;
    samples_.erase(samples_.begin(), samples_.begin() + static_cast<std::ptrdiff_t>(gone_));
    gone_ = 0;
}

bool SoundMemory::excerpt(double from_s, double to_s, std::vector<float>& out) {
    out.clear();
    const std::int64_t from = std::llround(from_s * rate_hz_) - first_;
    const std::int64_t to = std::llround(to_s * rate_hz_) - first_;
    if (from < 0 || to <= from || to > static_cast<std::int64_t>(size())) return false;
    const auto in = std::span(samples_).subspan(gone_ + static_cast<std::size_t>(from),
                                                static_cast<std::size_t>(to - from));
    resampler_.reset();
    out.resize(resampler_.max_output(in.size()) + resampler_.max_output(0));
    std::size_t count = resampler_.process(in, out);
    count += resampler_.finish(std::span(out).subspan(count));
    out.resize(count);
    return true;
}

} // namespace quietpass
