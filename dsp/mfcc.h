// Mel-frequency cepstral coefficients: orthonormal DCT-II of the natural logarithm of mel band powers.
//
// in: [mel_count] powers. out: [coefficients] numbers, the first is the overall level. Powers below 1e-10
// count as 1e-10. Davis & Mermelstein, IEEE Trans. ASSP 28 (1980) 357. Allocates in the constructor only. Not
// thread-safe.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace quietpass::dsp {

class Mfcc {
  public:
    // 1 ≤ coefficients ≤ mel_count, else std::invalid_argument.
    Mfcc(std::size_t mel_count, std::size_t coefficients);

    std::size_t mel_count() const noexcept { return logs_.size(); }
    std::size_t coefficients() const noexcept { return coefficients_; }

    void process(std::span<const float> mel_power, std::span<float> cepstrum) noexcept;

  private:
    std::size_t coefficients_;
    std::vector<float> cosines_; // [coefficients][mel_count]
    std::vector<float> logs_;
};

} // namespace quietpass::dsp
