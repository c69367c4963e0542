#include "dsp/real_fft.h"

#include <kissfft/kiss_fftr.h>
#include <cassert>
#include <stdexcept>
#include <vector>

namespace quietpass::dsp {

namespace {

static_assert(sizeof(std::complex<float>) == sizeof(kiss_fft_cpx));

struct FreePlan {
    void operator()(kiss_fftr_state* plan) const noexcept { kiss_fftr_free(plan); }
};
using OwnedPlan = std::unique_ptr<kiss_fftr_state, FreePlan>;

bool has_only_small_factors(std::size_t number) {
    for (const std::size_t factor : {std::size_t{2}, std::size_t{3}, std::size_t{5}}) {
        while (number % factor == 0) number /= factor;
    }
    return number == 1;
}

} // namespace

struct RealFft::Plan {
    explicit Plan(std::size_t count)
        : size(count),
          forward(kiss_fftr_alloc(static_cast<int>(count), 0, nullptr, nullptr)),
          inverse(kiss_fftr_alloc(static_cast<int>(count), 1, nullptr, nullptr)) {
        if (!forward || !inverse) throw std::bad_alloc();
    }
    std::size_t size;
    OwnedPlan forward;
    OwnedPlan inverse;
};

RealFft::RealFft(std::size_t size) {
    if (size < 2 || size % 2 != 0 || size > (std::size_t{1} << 24) || !has_only_small_factors(size / 2)) {
        throw std::invalid_argument("RealFft: size must be even, with no prime factor above 5 in its half");
    }
    plan_ = std::make_unique<Plan>(size);
}

RealFft::~RealFft() = default;
RealFft::RealFft(RealFft&&) noexcept = default;
RealFft& RealFft::operator=(RealFft&&) noexcept = default;

std::size_t RealFft::size() const noexcept {
    return plan_->size;
}
std::size_t RealFft::bins() const noexcept {
    return plan_->size / 2 + 1;
}

void RealFft::forward(std::span<const float> samples, std::span<std::complex<float>> bins) noexcept {
    assert(samples.size() == size() && bins.size() == this->bins());
    kiss_fftr(plan_->forward.get(), samples.data(), reinterpret_cast<kiss_fft_cpx*>(bins.data()));
}

void RealFft::inverse(std::span<const std::complex<float>> bins, std::span<float> samples) noexcept {
    assert(samples.size() == size() && bins.size() == this->bins());
    kiss_fftri(plan_->inverse.get(), reinterpret_cast<const kiss_fft_cpx*>(bins.data()), samples.data());
    const float scale = 1.0F / static_cast<float>(size());
    for (float& sample : samples) sample *= scale;
}

} // namespace quietpass::dsp
