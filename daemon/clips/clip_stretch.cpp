#include "daemon/clips/clip_stretch.h"

#include <sndfile.h>

#include <algorithm>

#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr std::int64_t kBlockFrames = 16384;

struct Closing {
    void operator()(SNDFILE* file) const { sf_close(file); }
};

} // namespace

struct ClipStretch::Opened {
    std::filesystem::path path;
    SF_INFO info{};
    std::unique_ptr<SNDFILE, Closing> file;

    [[noreturn]] void fail(const std::string& why) const {
        throw Failure(kExitFailure, "clip " + path.filename().string() + ": " + why);
    }
};

ClipStretch::ClipStretch(const std::filesystem::path& file) : opened_(std::make_unique<Opened>()) {
    opened_->path = file;
    opened_->file.reset(sf_open(file.c_str(), SFM_READ, &opened_->info));
    if (!opened_->file) opened_->fail(std::string("it can't be read: ") + sf_strerror(nullptr));
}

ClipStretch::~ClipStretch() = default;

ClipStretch::ClipStretch(ClipStretch&&) noexcept = default;

double ClipStretch::rate_hz() const {
    return opened_->info.samplerate;
}

int ClipStretch::channels() const {
    return opened_->info.channels;
}

std::int64_t ClipStretch::frames() const {
    return opened_->info.frames;
}

void ClipStretch::each(int channel, std::int64_t from, std::int64_t to,
                       const std::function<void(std::span<const float>)>& take) {
    const auto width = static_cast<std::size_t>(channels());
    std::vector<float> all(static_cast<std::size_t>(kBlockFrames) * width);
    std::vector<float> one(static_cast<std::size_t>(kBlockFrames));
    if (from < to && sf_seek(opened_->file.get(), from, SEEK_SET) != from) {
        opened_->fail("it ends before its time; check it with `quietpass verify`");
    }
    while (from < to) {
        const std::int64_t wanted = std::min(kBlockFrames, to - from);
        if (sf_readf_float(opened_->file.get(), all.data(), wanted) != wanted) {
            opened_->fail("it ends before its time; check it with `quietpass verify`");
        }
        const auto count = static_cast<std::size_t>(wanted);
        for (std::size_t i = 0; i < count; ++i) one[i] = all[i * width + static_cast<std::size_t>(channel)];
        take(std::span(one).first(count));
        from += wanted;
    }
}

std::vector<float> ClipStretch::samples(int channel, std::int64_t from, std::int64_t to) {
    std::vector<float> samples;
    samples.reserve(static_cast<std::size_t>(to - from));
    samples.resize(static_cast<std::size_t>(std::clamp<std::int64_t>(-from, 0, to - from)), 0.0F);
    each(channel, std::clamp<std::int64_t>(from, 0, frames()), std::clamp<std::int64_t>(to, 0, frames()),
         [&](std::span<const float> block) { samples.insert(samples.end(), block.begin(), block.end()); });
    samples.resize(static_cast<std::size_t>(to - from), 0.0F);
    return samples;
}

} // namespace quietpass
