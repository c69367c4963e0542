#include "dsp/power_spectrum.h"

#include <cassert>

#include "dsp/window.h"

namespace quietpass::dsp {

PowerSpectrum::PowerSpectrum(std::size_t size)
    : fft_(size),
      window_(spectrum_window(size)),
      windowed_(size),
      spectrum_(fft_.bins()),
      noise_bandwidth_bins_(dsp::noise_bandwidth_bins(window_)) {}

void PowerSpectrum::process(std::span<const float> frame, std::span<float> power) noexcept {
    assert(frame.size() == size() && power.size() == bins());
    const std::size_t count = windowed_.size();
    for (std::size_t n = 0; n < count; ++n) windowed_[n] = frame[n] * window_[n];
    fft_.forward(windowed_, spectrum_);
    for (std::size_t k = 0; k < spectrum_.size(); ++k) {
        const float re = spectrum_[k].real();
        const float im = spectrum_[k].imag();
        power[k] = re * re + im * im;
    }
}

} // namespace quietpass::dsp
