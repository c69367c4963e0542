#include "dsp/filter_bank.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <stdexcept>

namespace quietpass::dsp {

namespace {

double mel_from_hz(double hz) {
    return 2595.0 * std::log10(1.0 + hz / 700.0);
}
double hz_from_mel(double mel) {
    return 700.0 * (std::pow(10.0, mel / 2595.0) - 1.0);
}

} // namespace

BandEdges octave_band(int index, int per_octave) {
    // IEC 61260-1: octave ratio G = 10^(3/10); centre 1000·G^(index/per_octave), edges half a band away.
    const double step = 0.3 / per_octave;
    const double centre = 1000.0 * std::pow(10.0, step * index);
    const double half_band = std::pow(10.0, step / 2.0);
    return {centre / half_band, centre, centre * half_band};
}

void FilterBank::add(const BandEdges& edges, std::size_t first_bin, std::span<const float> weights) {
    edges_.push_back(edges);
    bands_.push_back({first_bin, weights.size(), weights_.size()});
    weights_.insert(weights_.end(), weights.begin(), weights.end());
}

FilterBank FilterBank::mel(std::size_t bins, double bin_hz, std::size_t count, double low_hz,
                           double high_hz) {
    if (count == 0 || low_hz < 0.0 || high_hz <= low_hz) {
        throw std::invalid_argument("FilterBank::mel: needs a band and 0 ≤ low_hz < high_hz");
    }
    FilterBank bank;
    const double low_mel = mel_from_hz(low_hz);
    const double step = (mel_from_hz(high_hz) - low_mel) / static_cast<double>(count + 1);
    for (std::size_t band = 0; band < count; ++band) {
        const auto corner = [&](std::size_t n) {
            return hz_from_mel(low_mel + step * static_cast<double>(n));
        };
        const BandEdges edges{corner(band), corner(band + 1), corner(band + 2)};
        std::vector<float> weights;
        std::size_t first = 0;
        for (std::size_t k = 0; k < bins; ++k) {
            const double hz = bin_hz * static_cast<double>(k);
            const double rising = (hz - edges.low_hz) / (edges.centre_hz - edges.low_hz);
            const double falling = (edges.high_hz - hz) / (edges.high_hz - edges.centre_hz);
            const double weight = std::min(rising, falling);
            if (weight <= 0.0) continue;
            if (weights.empty()) first = k;
            weights.push_back(static_cast<float>(weight));
        }
        bank.add(edges, first, weights);
    }
    return bank;
}

FilterBank FilterBank::octave(std::size_t bins, double bin_hz, int per_octave, double low_hz,
                              double high_hz) {
    if (per_octave != 1 && per_octave != 3) {
        throw std::invalid_argument("FilterBank::octave: per_octave must be 1 or 3");
    }
    FilterBank bank;
    for (int index = -20 * per_octave; index <= 20 * per_octave; ++index) {
        const BandEdges edges = octave_band(index, per_octave);
        if (edges.centre_hz < low_hz || edges.centre_hz > high_hz) continue;
        std::vector<float> weights;
        std::size_t first = 0;
        for (std::size_t k = 0; k < bins; ++k) {
            const double hz = bin_hz * static_cast<double>(k);
            const double overlap =
                std::min(hz + bin_hz / 2.0, edges.high_hz) - std::max(hz - bin_hz / 2.0, edges.low_hz);
            if (overlap <= 0.0) continue;
            if (weights.empty()) first = k;
            weights.push_back(static_cast<float>(overlap / bin_hz));
        }
        bank.add(edges, first, weights);
    }
    return bank;
}

void FilterBank::process(std::span<const float> power, std::span<float> bands) const noexcept {
    assert(bands.size() == count());
    for (std::size_t b = 0; b < bands_.size(); ++b) {
        const Band& band = bands_[b];
        assert(band.first_bin + band.bin_count <= power.size());
        const float* bin = power.data() + band.first_bin;
        const float* weight = weights_.data() + band.first_weight;
        float even = 0.0F;
        float odd = 0.0F;
        std::size_t k = 0;
        for (; k + 2 <= band.bin_count; k += 2) {
            even += bin[k] * weight[k];
            odd += bin[k + 1] * weight[k + 1];
        }
        if (k < band.bin_count) even += bin[k] * weight[k];
        bands[b] = even + odd;
    }
}

} // namespace quietpass::dsp
