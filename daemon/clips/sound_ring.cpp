#include "daemon/clips/sound_ring.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace quietpass {

namespace {

constexpr float kLost = std::numeric_limits<float>::quiet_NaN();

} // namespace

SoundRing::SoundRing(std::span<const double> rates_hz, double kept_s) {
    if (rates_hz.empty()) throw std::invalid_argument("SoundRing: at least one microphone");
    for (const double rate_hz : rates_hz) {
        Track track;
        track.rate_hz = rate_hz;
        track.samples.assign(static_cast<std::size_t>(std::ceil(rate_hz * kept_s)), kLost);
        tracks_.push_back(std::move(track));
    }
}

void SoundRing::hear(std::size_t microphone, std::span<const float> samples) noexcept {
    Track& track = tracks_[microphone];
    const std::size_t capacity = track.samples.size();
    if (samples.size() > capacity) {
        track.next += static_cast<std::int64_t>(samples.size() - capacity);
        samples = samples.last(capacity);
    }
    const auto at = static_cast<std::size_t>(track.next) % capacity;
    const std::size_t to_end = std::min(samples.size(), capacity - at);
    std::copy_n(samples.begin(), to_end, track.samples.begin() + static_cast<std::ptrdiff_t>(at));
    std::copy(samples.begin() + static_cast<std::ptrdiff_t>(to_end), samples.end(), track.samples.begin());
    track.next += static_cast<std::int64_t>(samples.size());
}

void SoundRing::lose(std::size_t microphone, std::int64_t count) noexcept {
    Track& track = tracks_[microphone];
    const auto capacity = static_cast<std::int64_t>(track.samples.size());
    const std::int64_t marked = std::min(count, capacity);
    const std::int64_t at = (track.next + count - marked) % capacity;
    const std::int64_t to_end = std::min(marked, capacity - at);
    std::fill_n(track.samples.begin() + at, to_end, kLost);
    std::fill_n(track.samples.begin(), marked - to_end, kLost);
    track.next += count;
}

double SoundRing::heard_until_s() const noexcept {
    const double first_s = tracks_.front().heard_until_s();
    double least_s = first_s;
    for (const Track& track : tracks_) least_s = std::min(least_s, track.heard_until_s());
    return std::max(least_s, first_s - kWait_s);
}

std::optional<SoundCut> SoundRing::cut(double start_s, double end_s) const {
    const Track& base = tracks_.front();
    const std::int64_t oldest =
        std::max<std::int64_t>(0, base.next - static_cast<std::int64_t>(base.samples.size()));
    const std::int64_t first = std::max<std::int64_t>(std::llround(start_s * base.rate_hz), oldest);
    const std::int64_t end = std::min<std::int64_t>(std::llround(end_s * base.rate_hz), base.next);
    if (first >= end) return std::nullopt;

    SoundCut cut;
    cut.rate_hz = base.rate_hz;
    cut.start_s = static_cast<double>(first) / base.rate_hz;
    cut.frames = static_cast<std::size_t>(end - first);
    for (const Track& track : tracks_) {
        SoundCut::Channel& channel = cut.channels.emplace_back();
        channel.rate_hz = track.rate_hz;
        channel.samples.resize(static_cast<std::size_t>(std::ceil(cut.length_s() * track.rate_hz - 1e-6)));
        copy(track, std::llround((cut.start_s - track.offset_s) * track.rate_hz), channel.samples);
    }
    return cut;
}

// What the track doesn't have is lost.
void SoundRing::copy(const Track& track, std::int64_t first, std::vector<float>& out) {
    const auto capacity = static_cast<std::int64_t>(track.samples.size());
    const std::int64_t oldest = std::max<std::int64_t>(0, track.next - capacity);
    const std::int64_t end = first + static_cast<std::int64_t>(out.size());
    const std::int64_t from = std::clamp(oldest, first, end);
    const std::int64_t to = std::clamp(track.next, from, end);
    std::fill(out.begin(), out.begin() + (from - first), kLost);
    auto into = out.begin() + (from - first);
    for (std::int64_t index = from; index < to;) {
        const std::int64_t at = index % capacity;
        const std::int64_t run = std::min(to - index, capacity - at);
        into = std::copy_n(track.samples.begin() + at, run, into);
        index += run;
    }
    std::fill(into, out.end(), kLost);
}

} // namespace quietpass
