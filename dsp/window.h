// Window shapes for frames, and the two numbers that scale what was measured through them.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace quietpass::dsp {

// w[n] = 0.5 − 0.5·cos(2πn/size): the periodic form, whose overlaps at size/4 sum to a constant.
std::vector<float> hann_periodic(std::size_t size);

// hann_periodic() scaled for power spectra: a sine of amplitude 1 that falls on a bin reads 1.0 in that bin.
std::vector<float> spectrum_window(std::size_t size);

// Mean of the window: the factor by which a steady sine's amplitude shrinks.
double coherent_gain(std::span<const float> window);

// Equivalent noise bandwidth in bins: size·Σw² / (Σw)². 1.5 for Hann (Harris, Proc. IEEE 66 (1978) 51).
double noise_bandwidth_bins(std::span<const float> window);

} // namespace quietpass::dsp
