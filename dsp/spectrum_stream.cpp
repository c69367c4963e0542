#include "dsp/spectrum_stream.h"

#include <algorithm>
#include <stdexcept>

#include "dsp/window.h"

namespace quietpass::dsp {

SpectrumStream::SpectrumStream(std::size_t size, std::size_t hop)
    : size_(size),
      hop_(hop),
      bins_(size / 2 + 1),
      stride_((bins_ + 3) / 4 * 4),
      window_(spectrum_window(size)),
      powers_(kBatch * stride_),
      fft_(size),
      windowed_(size),
      spectrum_(bins_) {
    if (hop == 0 || hop > size)
        throw std::invalid_argument("SpectrumStream: hop must lie within 1 and the frame size");
    samples_.resize(size + (kBatch - 1) * hop);
}

bool SpectrumStream::next(std::span<const float>& samples) noexcept {
    if (taken_) {
        std::copy(samples_.begin() + static_cast<std::ptrdiff_t>(kBatch * hop_), samples_.end(),
                  samples_.begin());
        filled_ = samples_.size() - kBatch * hop_;
        taken_ = false;
    }
    const std::size_t count = std::min(samples.size(), samples_.size() - filled_);
    std::copy_n(samples.begin(), count, samples_.begin() + static_cast<std::ptrdiff_t>(filled_));
    samples = samples.subspan(count);
    filled_ += count;
    count_ = 0;
    if (filled_ < samples_.size()) return false;
    count_ = kBatch;
    taken_ = true;
    transform();
    return true;
}

bool SpectrumStream::flush() noexcept {
    count_ = !taken_ && filled_ >= size_ ? (filled_ - size_) / hop_ + 1 : 0;
    if (count_ == 0) return false;
    std::fill(samples_.begin() + static_cast<std::ptrdiff_t>(filled_), samples_.end(), 0.0F);
    taken_ = true;
    transform();
    return true;
}

void SpectrumStream::reset() noexcept {
    filled_ = 0;
    count_ = 0;
    taken_ = false;
}

void SpectrumStream::transform() noexcept {
    const float* from = samples_.data();
    for (std::size_t n = 0; n < size_; n += 4) {
        const Lane4 weights = load4(&window_[n]);
        Lane4 rows[4];
        for (std::size_t i = 0; i < kBatch; ++i) rows[i] = weights * load4(from + i * hop_ + n);
        transpose4(rows);
        for (std::size_t i = 0; i < 4; ++i) windowed_[n + i] = rows[i];
    }
    fft_.forward(windowed_, spectrum_);
    const auto power_of = [](const RealFft4::Bin& bin) { return bin.re * bin.re + bin.im * bin.im; };
    for (std::size_t k = 0; k < bins_; k += 4) {
        Lane4 rows[4];
        for (std::size_t i = 0; i < 4; ++i) rows[i] = k + i < bins_ ? power_of(spectrum_[k + i]) : Lane4{};
        transpose4(rows);
        for (std::size_t i = 0; i < kBatch; ++i) store4(&powers_[i * stride_ + k], rows[i]);
    }
}

} // namespace quietpass::dsp
