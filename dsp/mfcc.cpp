#include "dsp/mfcc.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace quietpass::dsp {

Mfcc::Mfcc(std::size_t mel_count, std::size_t coefficients)
    : coefficients_(coefficients), cosines_(mel_count * coefficients), logs_(mel_count) {
    if (coefficients == 0 || coefficients > mel_count) {
        throw std::invalid_argument("Mfcc: coefficients must lie within 1 and the number of mel bands");
    }
    const auto count = static_cast<double>(mel_count);
    for (std::size_t c = 0; c < coefficients; ++c) {
        const double scale = std::sqrt((c == 0 ? 1.0 : 2.0) / count);
        for (std::size_t m = 0; m < mel_count; ++m) {
            const double angle =
                std::numbers::pi * static_cast<double>(c) * (static_cast<double>(m) + 0.5) / count;
            cosines_[c * mel_count + m] = static_cast<float>(scale * std::cos(angle));
        }
    }
}

void Mfcc::process(std::span<const float> mel_power, std::span<float> cepstrum) noexcept {
    assert(mel_power.size() == logs_.size() && cepstrum.size() == coefficients_);
    for (std::size_t m = 0; m < logs_.size(); ++m) logs_[m] = std::log(std::max(mel_power[m], 1e-10F));
    for (std::size_t c = 0; c < coefficients_; ++c) {
        const float* cosine = &cosines_[c * logs_.size()];
        float sum = 0.0F;
        for (std::size_t m = 0; m < logs_.size(); ++m) sum += cosine[m] * logs_[m];
        cepstrum[c] = sum;
    }
}

} // namespace quietpass::dsp
