// Shape measures of one power spectrum within a range of bins.
//
// in: powers ≥ 0 of bins `range.first … range.last` (inclusive) of a spectrum with bins bin_hz apart. All are
// pure functions. A spectrum without power in the range gives 0 for every measure. Definitions as in Peeters,
// "A large set of audio features" (IRCAM 2004), with power as the weight.
#pragma once

#include <cstddef>
#include <span>

namespace quietpass::dsp {

struct BinRange {
    std::size_t first = 0;
    std::size_t last = 0; // inclusive
};

// The bins whose centres lie within low_hz … high_hz, held within 0 … bins − 1.
BinRange bins_between(double low_hz, double high_hz, double bin_hz, std::size_t bins) noexcept;

double band_power(std::span<const float> power, BinRange range) noexcept;

struct SpectralShape {
    double power = 0.0;        // sum of the range
    double centroid_hz = 0.0;  // mean frequency
    double bandwidth_hz = 0.0; // standard deviation about the centroid
    double rolloff_hz = 0.0;   // the lowest bin frequency with `share` of the power at or below it
    double flatness = 0.0;     // 0 … 1: geometric over arithmetic mean; powers below 1e-20 count as 1e-20
    double entropy = 0.0;      // 0 … 1: −Σ p·ln p / ln(bins)
    double peak_hz = 0.0;      // frequency of the strongest bin, refined by a parabola through the log powers
    double peak_share = 0.0;   // power of the strongest bin / power
};

// All of them in one pass.
SpectralShape spectral_shape(std::span<const float> power, BinRange range, double bin_hz,
                             double rolloff_share = 0.85) noexcept;

double centroid_hz(std::span<const float> power, BinRange range, double bin_hz) noexcept;
double bandwidth_hz(std::span<const float> power, BinRange range, double bin_hz) noexcept;
double rolloff_hz(std::span<const float> power, BinRange range, double bin_hz, double share = 0.85) noexcept;
double flatness(std::span<const float> power, BinRange range) noexcept;
double entropy(std::span<const float> power, BinRange range) noexcept;

// Change of shape between two spectra, 0 … √2: the distance of the two amplitude spectra, each scaled to unit
// length.
double flux(std::span<const float> power, std::span<const float> previous, BinRange range) noexcept;

} // namespace quietpass::dsp
