#include "classifiers/colour_measures.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

ColourMeasures::ColourMeasures()
    : mel_(dsp::FilterBank::mel(dsp::kBins, dsp::kBinHz, 32, 80.0, 7600.0)),
      mfcc_(mel_.count(), kCoefficients),
      bands_(mel_.count()) {}

void ColourMeasures::process(const SoundFrames& frames, MeasureRow& row) noexcept {
    constexpr std::size_t kMeans = 12;
    constexpr std::size_t kSpreads = 6;
    std::array<double, kCoefficients> sum{};
    std::array<double, kCoefficients> squares{};
    std::size_t used = 0;
    for (std::size_t i = 0; i < frames.count(); ++i) {
        if (!frames.strong(i)) continue;
        mel_.process(frames.clean(i), bands_);
        const float loudest = *std::ranges::max_element(bands_);
        if (loudest <= 0.0F) continue;
        for (float& band : bands_) band = std::max(band / loudest, 3.16e-4F);
        mfcc_.process(bands_, cepstrum_);
        for (std::size_t c = 0; c < kCoefficients; ++c) {
            sum[c] += cepstrum_[c];
            squares[c] += static_cast<double>(cepstrum_[c]) * cepstrum_[c];
        }
        ++used;
    }
    if (used == 0) return;
    const auto n = static_cast<double>(used);
    for (std::size_t c = 0; c < kMeans; ++c) row[kMfcc1 + c] = static_cast<float>(sum[c + 1] / n);
    for (std::size_t c = 0; c < kSpreads; ++c) {
        const double mean = sum[c + 1] / n;
        row[kMfccSd1 + c] = static_cast<float>(std::sqrt(std::max(0.0, squares[c + 1] / n - mean * mean)));
    }
}

} // namespace quietpass
