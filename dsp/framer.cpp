#include "dsp/framer.h"

#include <stdexcept>

namespace quietpass::dsp {

Framer::Framer(std::size_t size, std::size_t hop) : size_(size), hop_(hop), buffer_(size) {
    if (hop == 0 || hop > size)
        throw std::invalid_argument("Framer: hop must lie within 1 and the frame size");
}

bool Framer::next(std::span<const float>& samples) noexcept {
    if (complete_) {
        std::copy(buffer_.begin() + static_cast<std::ptrdiff_t>(hop_), buffer_.end(), buffer_.begin());
        filled_ = size_ - hop_;
        complete_ = false;
    }
    const std::size_t taken = std::min(samples.size(), size_ - filled_);
    std::copy_n(samples.begin(), taken, buffer_.begin() + static_cast<std::ptrdiff_t>(filled_));
    samples = samples.subspan(taken);
    filled_ += taken;
    complete_ = filled_ == size_;
    if (complete_) ++count_;
    return complete_;
}

void Framer::reset() noexcept {
    filled_ = 0;
    count_ = 0;
    complete_ = false;
}

} // namespace quietpass::dsp
