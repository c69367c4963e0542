#include "dsp/pitch.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "dsp/lanes.h"
#include "dsp/window.h"

namespace quietpass::dsp {

namespace {

constexpr double kStepsPerOctave = 48.0;
constexpr int kHarmonics = 10;
constexpr float kLeastStrength = 0.05F;
constexpr std::size_t kLanes = 8;
// What the strength is measured against: the spectrum within the harmonics' reach, this share of what lies
// beyond, and this share of the floor, so that the crumbs that noise leaves above its own floor do not score
// (both by trial).
constexpr float kBeyondShare = 0.25F;
constexpr float kFloorShare = 0.3F;
constexpr double kHarmonicFade = 0.5; // harmonic h weighs h^−0.5 (SWIPE')

} // namespace

double harmonics_to_noise_db(double periodicity) {
    const double r = std::clamp(periodicity, 1e-4, 1.0 - 1e-4);
    return 10.0 * std::log10(r / (1.0 - r));
}

PitchEstimator::PitchEstimator(std::size_t frame_size, double rate_hz, const PitchSettings& settings)
    : settings_(settings),
      frame_size_(frame_size),
      bin_hz_(rate_hz / static_cast<double>(frame_size)),
      least_hz_(settings.lowest_hz / 2.0),
      dynamic_range_(static_cast<float>(std::pow(10.0, -settings.dynamic_range_db / 10.0))),
      clean_(frame_size / 2 + 1),
      amplitude_(frame_size / 2 + 1),
      compressed_(frame_size / 2 + 2),
      energy_(frame_size / 2 / kLanes + 1),
      window_correlation_(frame_size / 2) {
    if (!(settings.lowest_hz > 0.0 && settings.highest_hz > settings.lowest_hz &&
          settings.highest_hz < rate_hz / 4.0)) {
        throw std::invalid_argument(
            "PitchEstimator: needs 0 < lowest_hz < highest_hz < a quarter of the rate");
    }
    if (frame_size % (2 * kLanes) != 0)
        throw std::invalid_argument("PitchEstimator: frame_size must be a multiple of 16");
    if (rate_hz / settings.lowest_hz > static_cast<double>(frame_size) / 2.0) {
        throw std::invalid_argument("PitchEstimator: lowest_hz needs two periods in a frame");
    }
    lay_axis(rate_hz);
    lay_kernel();

    // Circular, as the powers' own: what wraps round within half a frame is the window's faint tails.
    const std::vector<float> window = hann_periodic(frame_size);
    for (std::size_t lag = 0; lag < window_correlation_.size(); ++lag) {
        double sum = 0.0;
        for (std::size_t n = 0; n < frame_size; ++n) {
            sum += static_cast<double>(window[n]) * static_cast<double>(window[(n + lag) % frame_size]);
        }
        window_correlation_[lag] = static_cast<float>(sum);
    }
    const float at_zero = window_correlation_[0];
    for (float& value : window_correlation_) value /= at_zero;
}

// The points of the logarithmic axis, from half the lowest f0 (the gap below its
// first harmonic) to half the rate, and behind it zeros for the harmonics
// that lie beyond.
void PitchEstimator::lay_axis(double rate_hz) {
    const double top_octaves = std::log2(0.5 * rate_hz / least_hz_);
    const auto points = static_cast<std::size_t>(top_octaves * kStepsPerOctave);
    const double bins_in_half_step_ratio = std::exp2(0.5 / kStepsPerOctave);
    for (std::size_t n = 0; n < points; ++n) {
        const double hz = least_hz_ * std::exp2(static_cast<double>(n) / kStepsPerOctave);
        const double position = hz / bin_hz_;
        Point point{};
        point.bin = static_cast<std::uint32_t>(position);
        point.share = static_cast<float>(position - std::floor(position));
        // Where a step spans more than two bins the strongest bin within it speaks for it.
        const auto low = static_cast<std::uint32_t>(std::ceil(position / bins_in_half_step_ratio));
        const auto high = static_cast<std::uint32_t>(std::floor(position * bins_in_half_step_ratio));
        if (high >= low + 1) {
            point.bin = low;
            point.count =
                std::min<std::uint32_t>(high, static_cast<std::uint32_t>(clean_.size()) - 1) - low + 1;
        }
        points_.push_back(point);
    }
    first_f0_ =
        static_cast<std::size_t>(std::floor(std::log2(settings_.lowest_hz / least_hz_) * kStepsPerOctave));
    const auto last_f0 =
        static_cast<std::size_t>(std::ceil(std::log2(settings_.highest_hz / least_hz_) * kStepsPerOctave));
    const std::size_t f0_count = last_f0 - first_f0_ + 1;
    salience_.assign((f0_count + 7) / 8 * 8, 0.0F);
    f0_count_ = f0_count;
    const auto reach = static_cast<std::size_t>(std::ceil(std::log2(kHarmonics + 0.5) * kStepsPerOctave));
    axis_.assign(std::max(points, first_f0_ + salience_.size() + reach) + 8, 0.0F);
}

// Harmonic h pulls up, the gaps half a step of f0 beside it pull down by half as much each; the sums for one
// gap are joined.
void PitchEstimator::lay_kernel() {
    const auto offset_of = [](double multiple) {
        return static_cast<std::ptrdiff_t>(std::lround(std::log2(multiple) * kStepsPerOctave));
    };
    const auto weight_of = [](int harmonic) {
        return std::pow(static_cast<double>(harmonic), -kHarmonicFade);
    };
    for (int h = 1; h <= kHarmonics; ++h) {
        kernel_.push_back({offset_of(h), static_cast<float>(weight_of(h))});
        const double gap = h == 1 ? weight_of(1) : weight_of(h - 1) + weight_of(h);
        kernel_.push_back({offset_of(h - 0.5), static_cast<float>(-0.5 * gap)});
    }
    kernel_.push_back({offset_of(kHarmonics + 0.5), static_cast<float>(-0.5 * weight_of(kHarmonics))});

    // Hann lobes on compressed powers hold twice the square of their peak.
    const double nyquist = 0.5 * bin_hz_ * static_cast<double>(frame_size_);
    kernel_norm_.assign(salience_.size(), 0.0F);
    reach_.assign(salience_.size(), static_cast<std::uint32_t>(energy_.size() - 1));
    for (std::size_t n = 0; n < f0_count_; ++n) {
        const double f0 = least_hz_ * std::exp2(static_cast<double>(first_f0_ + n) / kStepsPerOctave);
        double squares = 0.0;
        for (int h = 1; h <= kHarmonics && h * f0 < nyquist; ++h) squares += weight_of(h) * weight_of(h);
        const double reach_bins = std::min((kHarmonics + 0.5) * f0, nyquist) / bin_hz_;
        reach_[n] = std::min(reach_[n], static_cast<std::uint32_t>(std::ceil(reach_bins / kLanes)));
        kernel_norm_[n] = static_cast<float>(std::sqrt(2.0 / squares));
    }
}

void PitchEstimator::process(std::span<const float> power, std::span<const float> floor,
                             PitchFrame& found) noexcept {
    assert(power.size() == clean_.size() && floor.size() == clean_.size());
    found.count = 0;
    if (!compress(power, floor)) return;
    warp();
    score();
    pick(found);
    for (std::size_t n = 0; n < found.count; ++n) refine(found.candidates[n]);
}

// Fills clean_, compressed_ and energy_; false when nothing stands above the floor.
bool PitchEstimator::compress(std::span<const float> power, std::span<const float> floor) noexcept {
    const std::size_t bins = clean_.size();
    const std::size_t first = static_cast<std::size_t>(least_hz_ / bin_hz_) + 1;
    std::fill_n(clean_.begin(), first, 0.0F);
    Lane4 strongest{};
    std::size_t k = first;
    for (; k + 4 <= bins; k += 4) strongest = larger4(load4(&power[k]), strongest);
    float most = largest_of(strongest);
    for (; k < bins; ++k) most = std::max(most, power[k]);
    const Lane4 least = all4(most * dynamic_range_);
    const auto margin = static_cast<float>(settings_.floor_margin);
    for (k = first; k + 4 <= bins; k += 4) {
        const Lane4 p = load4(&power[k]);
        const Lane4 f = load4(&floor[k]);
        store4(&clean_[k], p > larger4(margin * f, least) ? p - f : Lane4{});
    }
    for (; k < bins; ++k)
        clean_[k] = power[k] > std::max(margin * floor[k], least[0]) ? power[k] - floor[k] : 0.0F;

    float* amplitude = amplitude_.data();
    float* compressed = compressed_.data();
    for (k = 0; k < bins; ++k) amplitude[k] = std::sqrt(clean_[k]);
    for (k = 0; k < bins; ++k) compressed[k] = std::sqrt(amplitude[k]);

    clean_end_ = 0;
    float signal = 0.0F;
    float running = 0.0F;
    Lane4 power_sum{};
    for (std::size_t block = 0; block + 1 < energy_.size(); ++block) {
        const std::size_t at = block * kLanes;
        const float sum = sum_of(load4(&amplitude[at]) + load4(&amplitude[at + 4]));
        if (sum > 0.0F) clean_end_ = at + kLanes;
        const float floor_sum = sum_of(load4(&floor[at]) + load4(&floor[at + 4]));
        power_sum += load4(&clean_[at]) + load4(&clean_[at + 4]);
        energy_[block] = running;
        signal += sum;
        running += sum + kFloorShare * static_cast<float>(kLanes) *
                             std::sqrt(floor_sum / static_cast<float>(kLanes));
    }
    energy_.back() = running;
    clean_power_ = static_cast<double>(sum_of(power_sum));
    return signal > 0.0F;
}

void PitchEstimator::warp() noexcept {
    for (std::size_t n = 0; n < points_.size(); ++n) {
        const Point& point = points_[n];
        const float* bin = &compressed_[point.bin];
        float value = bin[0] + point.share * (bin[1] - bin[0]);
        if (point.count > 0) {
            value = bin[0];
            for (std::uint32_t k = 1; k < point.count; ++k) value = bin[k] > value ? bin[k] : value;
        }
        axis_[n] = value;
    }
}

void PitchEstimator::score() noexcept {
    const float total = energy_.back();
    for (std::size_t n = 0; n < salience_.size(); n += kLanes) {
        Lane4 low{};
        Lane4 high{};
        const float* from = axis_.data() + first_f0_ + n;
        for (const KernelTap& tap : kernel_) {
            low += tap.weight * load4(from + tap.offset);
            high += tap.weight * load4(from + tap.offset + 4);
        }
        store4(&salience_[n], low * load4(&kernel_norm_[n]));
        store4(&salience_[n + 4], high * load4(&kernel_norm_[n + 4]));
    }
    // energy_ becomes the scale that each reach asks for.
    for (float& energy : energy_) energy = 1.0F / std::sqrt(energy + kBeyondShare * (total - energy));
    for (std::size_t n = 0; n < salience_.size(); ++n) salience_[n] *= energy_[reach_[n]];
}

// The highest local maxima, strongest first.
void PitchEstimator::pick(PitchFrame& found) const noexcept {
    for (std::size_t n = 1; n + 1 < f0_count_; ++n) {
        // Most steps are no peak: eight are passed over at once where none is high enough to count.
        const float least =
            found.count < kPitchCandidates ? kLeastStrength : found.candidates[kPitchCandidates - 1].strength;
        while (n + kLanes + 1 < f0_count_ &&
               !(largest_of(larger4(load4(&salience_[n]), load4(&salience_[n + 4]))) >= least))
            n += kLanes;
        const float left = salience_[n - 1];
        const float here = salience_[n];
        const float right = salience_[n + 1];
        if (here < kLeastStrength || here < left || here <= right) continue;
        std::size_t place = found.count;
        while (place > 0 && found.candidates[place - 1].strength < here) --place;
        if (place == kPitchCandidates) continue;
        found.count = std::min(found.count + 1, kPitchCandidates);
        for (std::size_t m = found.count - 1; m > place; --m) found.candidates[m] = found.candidates[m - 1];
        const float curve = left - 2.0F * here + right;
        const float shift = curve < 0.0F ? 0.5F * (left - right) / curve : 0.0F;
        const double steps = static_cast<double>(first_f0_ + n) + static_cast<double>(shift);
        found.candidates[place] = {static_cast<float>(least_hz_ * std::exp2(steps / kStepsPerOctave)),
                                   std::min(here, 1.0F), 0.0F};
    }
}

// One Newton step on the autocorrelation r(τ) = Σ P·cos(ωτ) towards its maximum near the candidate's period.
void PitchEstimator::refine(PitchCandidate& candidate) const noexcept {
    const double rate_hz = bin_hz_ * static_cast<double>(frame_size_);
    const double lag = rate_hz / static_cast<double>(candidate.f0_hz);
    const double turn = 2.0 * std::numbers::pi * lag / static_cast<double>(frame_size_); // radians a bin
    Lane4 re[2];
    Lane4 im[2];
    Lane4 index[2];
    const double turn_re = std::cos(turn);
    const double turn_im = std::sin(turn);
    double at_re = 1.0;
    double at_im = 0.0;
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
        re[lane / 4][lane % 4] = static_cast<float>(at_re);
        im[lane / 4][lane % 4] = static_cast<float>(at_im);
        index[lane / 4][lane % 4] = static_cast<float>(lane);
        const double next_re = at_re * turn_re - at_im * turn_im;
        at_im = at_re * turn_im + at_im * turn_re;
        at_re = next_re;
    }
    const Lane4 step_re = all4(static_cast<float>(at_re));
    const Lane4 step_im = all4(static_cast<float>(at_im));
    Lane4 even[2] = {};
    Lane4 slope[2] = {};
    Lane4 curve[2] = {};
    for (std::size_t k = 0; k < clean_end_; k += kLanes) {
        for (std::size_t half = 0; half < 2; ++half) {
            const Lane4 power = load4(&clean_[k + 4 * half]);
            const Lane4 cosine = power * re[half];
            even[half] += cosine;
            slope[half] += index[half] * (power * im[half]);
            curve[half] += index[half] * (index[half] * cosine);
            const Lane4 next = re[half] * step_re - im[half] * step_im;
            im[half] = re[half] * step_im + im[half] * step_re;
            re[half] = next;
            index[half] += static_cast<float>(kLanes);
        }
    }
    if (clean_power_ <= 0.0) return;
    const auto sum_slope = static_cast<double>(sum_of(slope[0] + slope[1]));
    const auto sum_curve = static_cast<double>(sum_of(curve[0] + curve[1]));
    double value = static_cast<double>(sum_of(even[0] + even[1]));
    double refined = lag;
    if (sum_curve > 0.0) {
        // r' = −Σ k·P·sin, r'' = −Σ k²·P·cos, per radian a bin.
        const double per_lag = 2.0 * std::numbers::pi / static_cast<double>(frame_size_);
        const double move = -sum_slope / sum_curve / per_lag;
        const double limit = lag * (std::exp2(1.0 / kStepsPerOctave) - 1.0);
        if (std::abs(move) <= limit) {
            refined = lag + move;
            value += 0.5 * sum_slope * sum_slope / sum_curve;
        }
    }
    const auto whole = std::min(static_cast<std::size_t>(refined), window_correlation_.size() - 2);
    const double share = refined - static_cast<double>(whole);
    const double window = static_cast<double>(window_correlation_[whole]) * (1.0 - share) +
                          static_cast<double>(window_correlation_[whole + 1]) * share;
    candidate.f0_hz = static_cast<float>(rate_hz / refined);
    candidate.periodicity = static_cast<float>(std::clamp(value / (clean_power_ * window), 0.0, 1.0));
}

} // namespace quietpass::dsp
