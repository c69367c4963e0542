#include "classifiers/shape_measures.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "classifiers/percentile.h"
#include "dsp/decibel.h"

namespace quietpass {

namespace {

constexpr auto kFrames = static_cast<std::size_t>(SoundFrames::kMaxFrames);
constexpr dsp::BinRange kRange{4, dsp::kBins - 1}; // 62.5 Hz … 8 kHz

} // namespace

ShapeMeasures::ShapeMeasures()
    : envelope_bands_(dsp::FilterBank::mel(dsp::kBins, dsp::kBinHz, 32, 150.0, 7600.0)),
      centroid_(kFrames),
      bandwidth_(kFrames),
      rolloff_(kFrames),
      flatness_(kFrames),
      entropy_(kFrames),
      flux_(kFrames),
      peak_(kFrames),
      mean_(dsp::kBins),
      envelope_(envelope_bands_.count()) {}

void ShapeMeasures::process(const SoundFrames& frames, MeasureRow& row) noexcept {
    frame_by_frame(frames, row);
    mean_spectrum(frames, row);
}

void ShapeMeasures::frame_by_frame(const SoundFrames& frames, MeasureRow& row) noexcept {
    std::size_t used = 0;
    std::size_t fluxes = 0;
    double moves = 0.0;
    for (std::size_t i = 0; i < frames.count(); ++i) {
        if (!frames.strong(i)) continue;
        const dsp::SpectralShape shape = dsp::spectral_shape(frames.clean(i), kRange, dsp::kBinHz);
        if (shape.power <= 0.0 || shape.peak_hz <= 0.0 || shape.centroid_hz <= 0.0) continue;
        centroid_[used] = static_cast<float>(shape.centroid_hz);
        bandwidth_[used] = static_cast<float>(shape.bandwidth_hz);
        rolloff_[used] = static_cast<float>(shape.rolloff_hz);
        flatness_[used] = static_cast<float>(shape.flatness);
        entropy_[used] = static_cast<float>(shape.entropy);
        peak_[used] = static_cast<float>(shape.peak_hz);
        if (i > 0 && used > 0 && frames.strong(i - 1)) {
            flux_[fluxes++] = static_cast<float>(dsp::flux(frames.clean(i), frames.clean(i - 1), kRange));
            moves += std::abs(std::log2(shape.peak_hz / static_cast<double>(peak_[used - 1])));
        }
        ++used;
    }
    if (used == 0) return;
    // Ratios read better than hertz where a spread is meant.
    const auto octaves = [used](std::vector<float>& values) {
        const std::span<float> v(values.data(), used);
        return std::log2(percentile(v, 0.75) / percentile(v, 0.25));
    };
    const auto median = [used](std::vector<float>& values) { return percentile({values.data(), used}, 0.5); };
    row[kPeakMoveOct] = fluxes > 0 ? static_cast<float>(moves / static_cast<double>(fluxes)) : 0.0F;
    row[kCentroidHz] = median(centroid_);
    row[kCentroidIqrOct] = octaves(centroid_);
    row[kBandwidthHz] = median(bandwidth_);
    row[kRolloffHz] = median(rolloff_);
    row[kRolloffIqrOct] = octaves(rolloff_);
    row[kFlatness] = median(flatness_);
    row[kFlatnessIqr] = middle_half({flatness_.data(), used});
    row[kEntropy] = median(entropy_);
    row[kEntropyIqr] = middle_half({entropy_.data(), used});
    row[kFlux] = percentile({flux_.data(), fluxes}, 0.5);
    row[kFluxIqr] = middle_half({flux_.data(), fluxes});
    row[kFluxHigh] = percentile({flux_.data(), fluxes}, 0.9);
    row[kPeakHz] = median(peak_);
    row[kPeakIqrOct] = octaves(peak_);
}

void ShapeMeasures::mean_spectrum(const SoundFrames& frames, MeasureRow& row) noexcept {
    std::ranges::fill(mean_, 0.0F);
    for (std::size_t i = 0; i < frames.count(); ++i) {
        if (!frames.strong(i)) continue;
        const auto clean = frames.clean(i);
        for (std::size_t k = kRange.first; k < dsp::kBins; ++k) mean_[k] += clean[k];
    }
    const float loudest = *std::ranges::max_element(mean_);
    if (loudest <= 0.0F) return;
    const float least = 1e-6F * loudest; // 60 dB under the strongest bin

    // Tilt: a line through the densities of the six octaves from 125 Hz on.
    std::array<double, kOctaves - 1> density{};
    double mean_density = 0.0;
    for (std::size_t o = 0; o < density.size(); ++o) {
        const dsp::BinRange range = octave_bins(o + 1);
        const double bins = static_cast<double>(range.last - range.first + 1);
        density[o] = dsp::decibel(std::max<double>(least, dsp::band_power(mean_, range) / bins));
        mean_density += density[o] / static_cast<double>(density.size());
    }
    double up = 0.0;
    double across = 0.0;
    for (std::size_t o = 0; o < density.size(); ++o) {
        const double x = static_cast<double>(o) - 0.5 * static_cast<double>(density.size() - 1);
        up += x * (density[o] - mean_density);
        across += x * x;
    }
    row[kSlopeDbOct] = static_cast<float>(up / across);

    envelope_bands_.process(mean_, envelope_);
    for (std::size_t b = 0; b < envelope_.size(); ++b) {
        const dsp::BandEdges& edges = envelope_bands_.edges(b);
        const double width = (edges.high_hz - edges.low_hz) / dsp::kBinHz;
        envelope_[b] = static_cast<float>(dsp::decibel(std::max<double>(least, envelope_[b] / width)));
    }
    // A hump must rise 3 dB over the valley before it.
    std::size_t humps = 0;
    float valley = envelope_[0];
    float top = envelope_[0];
    std::size_t top_at = 0;
    bool rising = true;
    for (std::size_t b = 1; b <= envelope_.size() && humps < 2; ++b) {
        const float level = b < envelope_.size() ? envelope_[b] : -1e9F;
        if (rising && level > top) {
            top = level;
            top_at = b;
        } else if (rising && level < top - 3.0F) {
            const auto hz = static_cast<float>(envelope_bands_.edges(top_at).centre_hz);
            row[humps == 0 ? kFormant1Hz : kFormant2Hz] = hz;
            ++humps;
            rising = false;
            valley = level;
        } else if (!rising) {
            valley = std::min(valley, level);
            if (level > valley + 3.0F) {
                rising = true;
                top = level;
                top_at = b;
            }
        }
    }

    // Between the peaks: the lower quartile of the bins. Reorders mean_, so it comes last.
    const auto between = [&](double low_hz, double high_hz) {
        const dsp::BinRange range = dsp::bins_between(low_hz, high_hz, dsp::kBinHz, dsp::kBins);
        const std::span<float> bins(mean_.data() + range.first, range.last - range.first + 1);
        return dsp::decibel(std::max(least, percentile(bins, 0.25)));
    };
    const double high = between(4000.0, 8000.0);
    row[kHissDb] = static_cast<float>(high - between(500.0, 2000.0));
}

} // namespace quietpass
