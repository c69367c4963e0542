// Rational resampling by a Kaiser-windowed FIR split into phases: up by `up`, down by `down`, delay taken
// out.
//
// The low-pass is flat to 7/8 of half the lower rate and ≥ 80 dB down from 9/8 of it (Kaiser & Schafer, IEEE
// Trans. ASSP 28 (1980) 105). Output k is the sound at input position k·down/up. Allocates in the constructor
// only. Not thread-safe.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace quietpass::dsp {

class PolyphaseFilter {
  public:
    // up, down ≥ 1 without common factor.
    PolyphaseFilter(std::size_t up, std::size_t down);

    std::size_t taps_per_phase() const noexcept { return taps_; }

    // Takes all of `in`, returns how many were written. out.size() ≥ (in.size() + taps_per_phase()) · up /
    // down + 2.
    std::size_t process(std::span<const float> in, std::span<float> out) noexcept;

    void reset() noexcept;

  private:
    std::size_t up_;
    std::size_t down_;
    std::size_t delay_; // of the prototype, in steps of the upsampled rate
    std::size_t taps_;
    std::vector<float> phases_; // [up][taps_], each reversed in time
    std::vector<float> buffer_; // the last taps_ − 1 inputs, then new ones
    std::size_t held_ = 0;      // samples in buffer_
    std::size_t phase_ = 0;     // of the next output
    std::size_t newest_ = 0;    // index in buffer_ of the newest input that the next output needs
};

} // namespace quietpass::dsp
