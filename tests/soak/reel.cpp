#include "tests/soak/reel.h"

#include <algorithm>

#include "daemon/failure.h"
#include "daemon/records/files.h"
#include "tests/scenario/csv_rows.h"

namespace quietpass::soak {

Reel::Reel(const std::filesystem::path& folder, const StationSettings& station) {
    SF_INFO info{};
    file_.reset(sf_open((folder / "audio.wav").c_str(), SFM_READ, &info));
    const auto truth = RealFiles().read(folder / "truth.csv");
    if (!file_ || !truth || info.samplerate != static_cast<int>(kRate_hz)) {
        throw Failure(kExitUsage, folder.string() + ": is no made shift of 48 kHz; see scenario-builder");
    }
    channels_ = info.channels;
    frames_ = info.frames;
    for (auto& row : scenario::csv_rows(*truth)) {
        animals_.push_back({std::stod(row["entered_s"]), std::stod(row["released_s"]), row["vocal"] == "1"});
    }
    changes_ = read_contacts_csv((folder / "contacts.csv").string(), station);
}

void Reel::read(std::int64_t first, std::span<float> samples) {
    std::fill(samples.begin(), samples.end(), 0.0F);
    const std::int64_t from = std::clamp<std::int64_t>(first, 0, frames_);
    const std::int64_t to =
        std::clamp<std::int64_t>(first + static_cast<std::int64_t>(samples.size()), 0, frames_);
    if (from >= to) return;
    if (from != next_) sf_seek(file_.get(), from, SEEK_SET);
    next_ = to;
    const auto channels = static_cast<std::size_t>(channels_);
    frames_read_.resize(static_cast<std::size_t>(to - from) * channels);
    sf_readf_float(file_.get(), frames_read_.data(), to - from);
    float* out = samples.data() + (from - first);
    for (std::size_t i = 0; i < frames_read_.size(); i += channels) *out++ = frames_read_[i];
}

} // namespace quietpass::soak
