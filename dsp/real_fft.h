// The discrete Fourier transform of real samples (KissFFT, single precision).
//
// size: even, and size/2 has no prime factor above 5 (others would make the library allocate while it runs),
// else std::invalid_argument. forward: [size] samples → [size/2 + 1] bins, unnormalised. inverse: [size/2 +
// 1] bins → [size] samples, scaled by 1/size, so that inverse(forward(x)) = x. Allocates in the constructor
// only. Not thread-safe.
#pragma once

#include <complex>
#include <cstddef>
#include <memory>
#include <span>

namespace quietpass::dsp {

class RealFft {
  public:
    explicit RealFft(std::size_t size);
    ~RealFft();
    RealFft(RealFft&&) noexcept;
    RealFft& operator=(RealFft&&) noexcept;

    std::size_t size() const noexcept;
    std::size_t bins() const noexcept;

    void forward(std::span<const float> samples, std::span<std::complex<float>> bins) noexcept;
    void inverse(std::span<const std::complex<float>> bins, std::span<float> samples) noexcept;

  private:
    struct Plan;
    std::unique_ptr<Plan> plan_;
};

} // namespace quietpass::dsp
