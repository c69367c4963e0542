#include "dsp/pitch.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>
#include <stdexcept>

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

float sum_of(const float (&lanes)[kLanes]) {
    return ((lanes[0] + lanes[1]) + (lanes[2] + lanes[3])) + ((lanes[4] + lanes[5]) + (lanes[6] + lanes[7]));
}

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
    float strongest = 0.0F;
    for (std::size_t k = first; k < bins; ++k) strongest = power[k] > strongest ? power[k] : strongest;
    const float least = strongest * dynamic_range_;
    const auto margin = static_cast<float>(settings_.floor_margin);
    for (std::size_t k = 0; k < bins; ++k) {
        const float above = power[k] - floor[k];
        const float threshold = margin * floor[k] > least ? margin * floor[k] : least;
        clean_[k] = power[k] > threshold ? above : 0.0F;
    }
    for (std::size_t k = 0; k < first; ++k) clean_[k] = 0.0F;

    float signal = 0.0F;
    float running = 0.0F;
    for (std::size_t block = 0; block + 1 < energy_.size(); ++block) {
        float sums[kLanes];
        float floors[kLanes];
        for (std::size_t lane = 0; lane < kLanes; ++lane) {
            const std::size_t k = block * kLanes + lane;
            const float amplitude = std::sqrt(clean_[k]);
            compressed_[k] = std::sqrt(amplitude);
            sums[lane] = amplitude;
            floors[lane] = std::sqrt(floor[k]);
        }
        energy_[block] = running;
        const float sum = sum_of(sums);
        signal += sum;
        running += sum + kFloorShare * sum_of(floors);
    }
    energy_.back() = running;
    compressed_[bins - 1] = std::sqrt(std::sqrt(clean_[bins - 1]));
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
        float sum[kLanes] = {};
        for (const KernelTap& tap : kernel_) {
            const float* at = axis_.data() + (static_cast<std::ptrdiff_t>(first_f0_ + n) + tap.offset);
            for (std::size_t lane = 0; lane < kLanes; ++lane) sum[lane] += tap.weight * at[lane];
        }
        float within[kLanes];
        for (std::size_t lane = 0; lane < kLanes; ++lane) within[lane] = energy_[reach_[n + lane]];
        for (std::size_t lane = 0; lane < kLanes; ++lane) {
            const float energy = within[lane] + kBeyondShare * (total - within[lane]);
            salience_[n + lane] = sum[lane] * kernel_norm_[n + lane] / std::sqrt(energy);
        }
    }
}

// The highest local maxima, strongest first.
void PitchEstimator::pick(PitchFrame& found) const noexcept {
    for (std::size_t n = 1; n + 1 < f0_count_; ++n) {
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
    float re[kLanes];
    float im[kLanes];
    float index[kLanes];
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
        re[lane] = static_cast<float>(std::cos(turn * static_cast<double>(lane)));
        im[lane] = static_cast<float>(std::sin(turn * static_cast<double>(lane)));
        index[lane] = static_cast<float>(lane);
    }
    const auto step_re = static_cast<float>(std::cos(turn * kLanes));
    const auto step_im = static_cast<float>(std::sin(turn * kLanes));
    float total[kLanes] = {};
    float even[kLanes] = {};
    float slope[kLanes] = {};
    float curve[kLanes] = {};
    const std::size_t bins = (clean_.size() - 1) / kLanes * kLanes;
    for (std::size_t k = 0; k < bins; k += kLanes) {
        for (std::size_t lane = 0; lane < kLanes; ++lane) {
            const float power = clean_[k + lane];
            const float cosine = power * re[lane];
            const float sine = power * im[lane];
            total[lane] += power;
            even[lane] += cosine;
            slope[lane] += index[lane] * sine;
            curve[lane] += index[lane] * index[lane] * cosine;
            const float next = re[lane] * step_re - im[lane] * step_im;
            im[lane] = re[lane] * step_im + im[lane] * step_re;
            re[lane] = next;
            index[lane] += static_cast<float>(kLanes);
        }
    }
    double sums[4] = {};
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
        sums[0] += static_cast<double>(total[lane]);
        sums[1] += static_cast<double>(even[lane]);
        sums[2] += static_cast<double>(slope[lane]);
        sums[3] += static_cast<double>(curve[lane]);
    }
    if (sums[0] <= 0.0) return;
    double value = sums[1];
    double refined = lag;
    if (sums[3] > 0.0) {
        // r' = −Σ k·P·sin, r'' = −Σ k²·P·cos, per radian a bin.
        const double per_lag = 2.0 * std::numbers::pi / static_cast<double>(frame_size_);
        const double move = -sums[2] / sums[3] / per_lag;
        const double limit = lag * (std::exp2(1.0 / kStepsPerOctave) - 1.0);
        if (std::abs(move) <= limit) {
            refined = lag + move;
            value += 0.5 * sums[2] * sums[2] / sums[3];
        }
    }
    const auto whole = std::min(static_cast<std::size_t>(refined), window_correlation_.size() - 2);
    const double share = refined - static_cast<double>(whole);
    const double window = static_cast<double>(window_correlation_[whole]) * (1.0 - share) +
                          static_cast<double>(window_correlation_[whole + 1]) * share;
    candidate.f0_hz = static_cast<float>(rate_hz / refined);
    candidate.periodicity = static_cast<float>(std::clamp(value / (sums[0] * window), 0.0, 1.0));
}

} // namespace quietpass::dsp
