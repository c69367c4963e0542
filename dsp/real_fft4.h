// Four real Fourier transforms of the same size side by side, in the lanes of vector registers: KissFFT's own
// template over a number type of four floats, at about a quarter of the time of four single ones.
//
// in: [size] numbers, lane n belonging to signal n. out: [size/2 + 1] bins. Unscaled, as RealFft. Each lane's
// result depends on its own signal only, bit for bit. size: a multiple of 4 with no prime factor above 5,
// else std::invalid_argument. Allocates in the constructor only. Not thread-safe.
#pragma once

#include <cstddef>
#include <memory>
#include <span>

#include "dsp/lanes.h"

namespace quietpass::dsp {

class RealFft4 {
  public:
    struct Bin {
        Lane4 re;
        Lane4 im;
    };

    explicit RealFft4(std::size_t size);
    ~RealFft4();
    RealFft4(RealFft4&&) noexcept;
    RealFft4& operator=(RealFft4&&) noexcept;

    std::size_t size() const noexcept;
    std::size_t bins() const noexcept { return size() / 2 + 1; }

    void forward(std::span<const Lane4> samples, std::span<Bin> bins) noexcept;

  private:
    struct Plan;
    std::unique_ptr<Plan> plan_;
};

} // namespace quietpass::dsp
