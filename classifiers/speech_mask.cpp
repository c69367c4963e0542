#include "classifiers/speech_mask.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <complex>
#include <cstdint>
#include <numbers>

#include "dsp/real_fft.h"

namespace quietpass {

namespace {

constexpr double kMaskFrameS = 0.032; // at least; at most twice as long, so that it is a power of two

// White noise that is the same on every machine; what it is doesn't matter, as it only takes the place of
// what was there.
class White {
  public:
    // In [-1, 1), uniform.
    float next() {
        state_ ^= state_ << 13U;
        state_ ^= state_ >> 7U;
        state_ ^= state_ << 17U;
        return static_cast<float>(static_cast<std::int32_t>(state_ >> 32U)) * 0x1.0p-31F;
    }

  private:
    std::uint64_t state_ = 0x9E3779B97F4A7C15ULL;
};

// 1 for the samples of a call.
std::vector<char> samples_of_calls(std::size_t count, double rate_hz, std::span<const CallSpan> calls) {
    std::vector<char> called(count, 0);
    const auto last = static_cast<double>(count);
    for (const CallSpan& call : calls) {
        const double from = std::clamp(std::floor(call.start_s * rate_hz), 0.0, last);
        const double to = std::clamp(std::ceil(call.end_s * rate_hz), 0.0, last);
        for (auto i = static_cast<std::size_t>(from); i < static_cast<std::size_t>(to); ++i) called[i] = 1;
    }
    return called;
}

// Power by frame and bin, averaged over an octave of bins: what is left of a spectrum has no formants.
class BandPowers {
  public:
    BandPowers(std::span<const float> samples, std::span<const char> called, std::size_t size)
        : size_(size), hop_(size / 2), fft_(size), bins_(fft_.bins()) {
        // The first frame is centred on the first sample, the last one on the last or after it.
        frames_ = samples.size() / hop_ + 2;
        powers_.assign(frames_ * bins_, 0.0);
        outside_.assign(frames_, 0);
        std::vector<float> frame(size_);
        std::vector<std::complex<float>> spectrum(bins_);
        for (std::size_t f = 0; f < frames_; ++f) {
            bool call = false;
            bool any = false;
            for (std::size_t i = 0; i < size_; ++i) {
                const std::size_t at = f * hop_ + i;
                const bool there = at >= hop_ && at - hop_ < samples.size();
                if (there && called[at - hop_] != 0) call = true;
                any = any || there;
                // sqrt of Hann: frames of half a length's step add up to the power.
                const double weight =
                    std::sin(std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(size_));
                frame[i] = there ? samples[at - hop_] * static_cast<float>(weight) : 0.0F;
            }
            if (call || !any) continue;
            outside_[f] = 1;
            fft_.forward(frame, spectrum);
            average_octaves(spectrum, f);
        }
    }

    // Averaged over time, of frames outside the calls only; zero where none is near.
    std::vector<double> around(std::size_t frame, std::size_t reach) const {
        std::vector<double> mean(bins_, 0.0);
        double weights = 0.0;
        const std::size_t from = frame > reach ? frame - reach : 0;
        for (std::size_t f = from; f <= std::min(frames_ - 1, frame + reach); ++f) {
            if (outside_[f] == 0) continue;
            const double offset = static_cast<double>(f) - static_cast<double>(frame);
            const double weight =
                0.5 + 0.5 * std::cos(std::numbers::pi * offset / static_cast<double>(reach + 1));
            weights += weight;
            for (std::size_t k = 0; k < bins_; ++k) mean[k] += weight * powers_[f * bins_ + k];
        }
        if (weights > 0.0) {
            for (double& power : mean) power /= weights;
        }
        return mean;
    }

    std::size_t frames() const { return frames_; }
    std::size_t hop() const { return hop_; }
    dsp::RealFft& fft() { return fft_; }

  private:
    void average_octaves(std::span<const std::complex<float>> spectrum, std::size_t frame) {
        std::vector<double> sums(bins_ + 1, 0.0);
        for (std::size_t k = 0; k < bins_; ++k)
            sums[k + 1] = sums[k] + static_cast<double>(std::norm(spectrum[k]));
        for (std::size_t k = 0; k < bins_; ++k) {
            const auto middle = static_cast<double>(k);
            const auto from = static_cast<std::size_t>(middle / std::numbers::sqrt2);
            const std::size_t to =
                std::min(bins_ - 1, static_cast<std::size_t>(middle * std::numbers::sqrt2 + 0.5));
            powers_[frame * bins_ + k] = (sums[to + 1] - sums[from]) / static_cast<double>(to + 1 - from);
        }
    }

    std::size_t size_;
    std::size_t hop_;
    dsp::RealFft fft_;
    std::size_t bins_;
    std::size_t frames_ = 0;
    std::vector<double> powers_; // [frames][bins]
    std::vector<char> outside_;  // [frames]
};

// [n] of noise with these powers.
std::vector<float> noise_like(BandPowers& powers, std::size_t count, std::size_t reach) {
    const std::size_t hop = powers.hop();
    const std::size_t size = 2 * hop;
    std::vector<float> noise(count, 0.0F);
    std::vector<float> frame(size);
    std::vector<std::complex<float>> spectrum(powers.fft().bins());
    White white;
    for (std::size_t f = 0; f < powers.frames(); ++f) {
        const std::vector<double> target = powers.around(f, reach);
        // White noise of power 1/3 a sample, so of size/3 a bin; the recording's frames were windowed to half
        // their power.
        for (float& sample : frame) sample = white.next();
        powers.fft().forward(frame, spectrum);
        for (std::size_t k = 0; k < spectrum.size(); ++k) {
            spectrum[k] *= static_cast<float>(std::sqrt(target[k] * 2.0 * 3.0 / static_cast<double>(size)));
        }
        powers.fft().inverse(spectrum, frame);
        for (std::size_t i = 0; i < size; ++i) {
            const std::size_t at = f * hop + i;
            if (at < hop || at - hop >= count) continue;
            const double weight =
                std::sin(std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(size));
            noise[at - hop] += frame[i] * static_cast<float>(weight);
        }
    }
    return noise;
}

// How far each sample is from the nearest one of a call; `far` where none is nearer.
std::vector<std::size_t> distances(std::span<const char> called, std::size_t far) {
    std::vector<std::size_t> distance(called.size(), far);
    std::size_t since = far;
    for (std::size_t i = 0; i < called.size(); ++i) {
        since = called[i] != 0 ? 0 : std::min(far, since + 1);
        distance[i] = since;
    }
    since = far;
    for (std::size_t i = called.size(); i-- > 0;) {
        since = called[i] != 0 ? 0 : std::min(far, since + 1);
        distance[i] = std::min(distance[i], since);
    }
    return distance;
}

} // namespace

std::vector<float> with_speech_masked(std::span<const float> samples, double rate_hz,
                                      std::span<const CallSpan> calls) {
    if (samples.empty()) return {};
    const std::vector<char> called = samples_of_calls(samples.size(), rate_hz, calls);
    const std::size_t size =
        std::max<std::size_t>(64, std::bit_floor(static_cast<std::size_t>(2.0 * kMaskFrameS * rate_hz)));
    BandPowers powers(samples, called, size);
    const double frames_each_way = kMaskAverageS / 2.0 * rate_hz / static_cast<double>(powers.hop());
    const std::vector<float> noise =
        noise_like(powers, samples.size(), static_cast<std::size_t>(frames_each_way));

    const auto fade = std::max<std::size_t>(1, static_cast<std::size_t>(kMaskFadeS * rate_hz));
    const std::vector<std::size_t> distance = distances(called, fade);
    std::vector<float> masked(samples.size());
    for (std::size_t i = 0; i < samples.size(); ++i) {
        if (distance[i] == 0) {
            masked[i] = samples[i];
            continue;
        }
        // Of equal power, as the two are independent.
        const double turn =
            std::numbers::pi / 2.0 * static_cast<double>(distance[i]) / static_cast<double>(fade);
        const double kept = distance[i] >= fade ? 0.0 : std::cos(turn) * static_cast<double>(samples[i]);
        masked[i] = static_cast<float>(std::clamp(kept + std::sin(turn) * noise[i], -1.0, 1.0));
    }
    return masked;
}

} // namespace quietpass
