#include "dsp/delay_estimator.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <stdexcept>

#include "dsp/window.h"

namespace quietpass::dsp {

DelayEstimator::DelayEstimator(double rate_hz, double low_hz, double high_hz, double longest_s)
    : rate_hz_(rate_hz),
      longest_s_(longest_s),
      low_bin_(0),
      high_bin_(0),
      frame_fft_(kFrame),
      fine_fft_(kFrame * kFiner),
      window_(hann_periodic(kFrame)),
      windowed_(kFrame),
      first_(kBins),
      second_(kBins),
      cross_(fine_fft_.bins()),
      correlation_(fine_fft_.size()) {
    if (!(rate_hz > 0.0) || !(low_hz >= 0.0) || !(high_hz > low_hz) || !(high_hz <= rate_hz / 2.0) ||
        !(longest_s > 0.0) || !(longest_s <= longest_possible_s(rate_hz))) {
        throw std::invalid_argument(
            "DelayEstimator: expected a band within the rate and a longest delay of "
            "at most an eighth of a frame");
    }
    const double bin_hz = rate_hz / static_cast<double>(kFrame);
    low_bin_ = std::max<std::size_t>(1, static_cast<std::size_t>(std::ceil(low_hz / bin_hz)));
    high_bin_ = std::min<std::size_t>(kBins - 2, static_cast<std::size_t>(high_hz / bin_hz));
}

void DelayEstimator::process(std::span<const float> first, std::span<const float> second,
                             std::span<const float> weights) noexcept {
    const std::size_t frames = frames_of(first.size());
    assert(first.size() == second.size());
    assert(weights.empty() || weights.size() == kBins || weights.size() == frames * kBins);
    std::fill(cross_.begin(), cross_.end(), std::complex<float>());
    weight_ = 0.0;
    for (std::size_t frame = 0; frame < frames; ++frame) {
        const std::size_t start = frame * kStep;
        const std::size_t count = std::min(kFrame, first.size() - start);
        const bool own = weights.size() > kBins;
        add_frame(first.subspan(start, count), second.subspan(start, count),
                  own ? weights.subspan(frame * kBins, kBins) : weights);
    }
    fine_fft_.inverse(cross_, correlation_);
    // The inverse is scaled by 1/size and has each bin twice.
    const double scale = weight_ > 0.0 ? 0.5 * static_cast<double>(fine_fft_.size()) / weight_ : 0.0;
    for (float& value : correlation_) value *= static_cast<float>(scale);

    const long beyond = std::lround(longest_possible_s(rate_hz_) * rate_hz_ * static_cast<double>(kFiner));
    double sum = 0.0;
    for (long step = beyond; step < 2 * beyond; ++step) {
        sum += at(step) * at(step) + at(-step) * at(-step);
    }
    spread_ = std::sqrt(sum / static_cast<double>(2 * beyond));
}

void DelayEstimator::add_frame(std::span<const float> first, std::span<const float> second,
                               std::span<const float> weights) noexcept {
    const auto transform = [&](std::span<const float> samples, std::span<std::complex<float>> bins) {
        std::transform(samples.begin(), samples.end(), window_.begin(), windowed_.begin(),
                       [](float sample, float window) { return sample * window; });
        std::fill(windowed_.begin() + static_cast<std::ptrdiff_t>(samples.size()), windowed_.end(), 0.0F);
        frame_fft_.forward(windowed_, bins);
    };
    transform(first, first_);
    transform(second, second_);
    for (std::size_t bin = low_bin_; bin <= high_bin_; ++bin) {
        const float weight = weights.empty() ? 1.0F : weights[bin];
        const std::complex<float> product = std::conj(first_[bin]) * second_[bin];
        const float size = std::abs(product);
        weight_ += static_cast<double>(weight);
        if (size > 1e-20F) cross_[bin] += product * (weight / size);
    }
}

double DelayEstimator::at(long step) const noexcept {
    const long size = static_cast<long>(correlation_.size());
    return static_cast<double>(correlation_[static_cast<std::size_t>((step % size + size) % size)]);
}

DelayEstimator::Peak DelayEstimator::strongest(double from_s, double to_s) const noexcept {
    const double steps_per_s = rate_hz_ * static_cast<double>(kFiner);
    const long from = std::lround(std::max(from_s, -longest_s_) * steps_per_s);
    const long to = std::max(from, std::lround(std::min(to_s, longest_s_) * steps_per_s));
    long best = from;
    for (long step = from; step <= to; ++step) {
        if (at(step) > at(best)) best = step;
    }
    Peak peak{static_cast<double>(best) / steps_per_s, at(best)};
    // A parabola through the top and its neighbours, where it is a top.
    const double before = at(best - 1);
    const double after = at(best + 1);
    const double bend = before - 2.0 * peak.height + after;
    if (before < peak.height && after < peak.height && bend < 0.0) {
        const double shift = 0.5 * (before - after) / bend;
        peak.delay_s += shift / steps_per_s;
        peak.height -= 0.25 * (before - after) * shift;
    }
    return peak;
}

} // namespace quietpass::dsp
