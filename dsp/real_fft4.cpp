#include "dsp/real_fft4.h"

#include <cassert>
#include <cmath>
#include <complex>
#include <stdexcept>
#include <type_traits>

namespace quietpass::dsp {

namespace {

// What kissfft<> asks of a number. Arithmetic on four floats; the angles of its tables are the same in all
// lanes and go through double.
struct Four {
    Four() : lanes{} {}
    Four(double value) : lanes(all4(static_cast<float>(value))) {}

    Four& operator+=(const Four& other) {
        lanes += other.lanes;
        return *this;
    }
    Four& operator-=(const Four& other) {
        lanes -= other.lanes;
        return *this;
    }
    Four& operator*=(const Four& other) {
        lanes *= other.lanes;
        return *this;
    }
    Four operator-() const {
        Four negative;
        negative.lanes = -lanes;
        return negative;
    }
    operator double() const { return static_cast<double>(lanes[0]); }

    Lane4 lanes;
};

Four operator+(Four a, const Four& b) {
    return a += b;
}
Four operator-(Four a, const Four& b) {
    return a -= b;
}
Four operator*(Four a, const Four& b) {
    return a *= b;
}
template <class Number>
requires std::is_arithmetic_v<Number> Four operator*(Number a, const Four& b) {
    return {static_cast<double>(a) * static_cast<double>(b)};
}
template <class Number>
requires std::is_arithmetic_v<Number> Four operator/(const Four& a, Number b) {
    return {static_cast<double>(a) / static_cast<double>(b)};
}
Four exp(const Four& a) {
    return {std::exp(static_cast<double>(a))};
}
Four cos(const Four& a) {
    return {std::cos(static_cast<double>(a))};
}
Four sin(const Four& a) {
    return {std::sin(static_cast<double>(a))};
}

} // namespace

} // namespace quietpass::dsp

#include <kissfft/kissfft.hh>

namespace quietpass::dsp {

namespace {

using Complex = std::complex<Four>;
static_assert(sizeof(Complex) == sizeof(RealFft4::Bin) && sizeof(Four) == sizeof(Lane4));

} // namespace

struct RealFft4::Plan {
    explicit Plan(std::size_t count) : size(count), half(count / 2, false) {}
    std::size_t size;
    kissfft<Four> half; // a real signal is a complex one of half the length
};

RealFft4::RealFft4(std::size_t size) {
    std::size_t rest = size;
    for (const std::size_t factor : {std::size_t{2}, std::size_t{3}, std::size_t{5}}) {
        while (rest != 0 && rest % factor == 0) rest /= factor;
    }
    if (size == 0 || size % 4 != 0 || rest != 1) {
        throw std::invalid_argument("RealFft4: size must be a multiple of 4, with no prime factor above 5");
    }
    plan_ = std::make_unique<Plan>(size);
}

RealFft4::~RealFft4() = default;
RealFft4::RealFft4(RealFft4&&) noexcept = default;
RealFft4& RealFft4::operator=(RealFft4&&) noexcept = default;

std::size_t RealFft4::size() const noexcept {
    return plan_->size;
}

void RealFft4::forward(std::span<const Lane4> samples, std::span<Bin> bins) noexcept {
    assert(samples.size() == size() && bins.size() == this->bins());
    plan_->half.transform_real(reinterpret_cast<const Four*>(samples.data()),
                               reinterpret_cast<Complex*>(bins.data()));
    // The template leaves the highest bin in the place of the lowest one's imaginary part.
    bins.back() = {bins[0].im, Lane4{}};
    bins[0].im = Lane4{};
}

} // namespace quietpass::dsp
