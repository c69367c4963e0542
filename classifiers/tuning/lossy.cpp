#include "classifiers/tuning/lossy.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "classifiers/tuning/clip.h"
#include "dsp/real_fft.h"

namespace quietpass::tuning {
namespace {

constexpr std::size_t kFrame = 512; // 32 ms, about a long block of such a coder
constexpr std::size_t kHop = kFrame / 2;
constexpr std::size_t kNarrowestBand = 4; // bins

void lose(std::vector<std::complex<float>>& bins, const CodingLoss& loss) {
    const auto top = std::min(bins.size(), static_cast<std::size_t>(loss.top_hz / kClipRateHz * kFrame) + 1);
    const auto mask = static_cast<float>(std::pow(10.0, -loss.mask_db / 20.0));
    for (std::size_t from = 0; from < top;) {
        const std::size_t to = std::min(top, from + std::max(kNarrowestBand, from / 4));
        float loudest = 0.0F;
        for (std::size_t k = from; k < to; ++k) loudest = std::max(loudest, std::abs(bins[k]));
        for (std::size_t k = from; k < to; ++k) {
            const float size = std::abs(bins[k]);
            if (size <= loudest * mask || size <= 0.0F) {
                bins[k] = 0.0F;
                continue;
            }
            const double steps = std::round(20.0 * std::log10(static_cast<double>(size)) / loss.step_db);
            bins[k] *= static_cast<float>(std::pow(10.0, steps * loss.step_db / 20.0)) / size;
        }
        from = to;
    }
    std::fill(bins.begin() + static_cast<std::ptrdiff_t>(top), bins.end(), 0.0F);
}

} // namespace

CodingLoss any_coding_loss(Random& random) {
    return {random.between(10, 30), random.between(0.5, 4), random.between_by_ratio(4000, 7800)};
}

void coded_with_loss(std::vector<float>& samples, const CodingLoss& loss) {
    // A sine window before and after: at half a frame's hop their squares add up to one.
    std::vector<float> window(kFrame);
    for (std::size_t i = 0; i < kFrame; ++i)
        window[i] = static_cast<float>(std::sin(std::numbers::pi * (static_cast<double>(i) + 0.5) / kFrame));
    dsp::RealFft fft(kFrame);
    std::vector<float> frame(kFrame);
    std::vector<std::complex<float>> bins(fft.bins());
    std::vector<float> out(samples.size() + 2 * kFrame, 0.0F);
    for (std::size_t at = 0; at < samples.size() + kHop; at += kHop) {
        for (std::size_t i = 0; i < kFrame; ++i) {
            const std::size_t from = at + i;
            const bool there = from >= kHop && from - kHop < samples.size();
            frame[i] = there ? samples[from - kHop] * window[i] : 0.0F;
        }
        fft.forward(frame, bins);
        lose(bins, loss);
        fft.inverse(bins, frame);
        for (std::size_t i = 0; i < kFrame; ++i) out[at + i] += frame[i] * window[i];
    }
    for (std::size_t i = 0; i < samples.size(); ++i) samples[i] = out[kHop + i];
}

} // namespace quietpass::tuning
