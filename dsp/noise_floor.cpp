#include "dsp/noise_floor.h"

#include <algorithm>
#include <boost/math/distributions/gamma.hpp>
#include <cassert>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace quietpass::dsp {

namespace {

constexpr float kLeastFloor = 1e-12F;
constexpr double kShortBlock_s = 0.128;
constexpr std::size_t kBlocksForQuantile = 4;

// Hann frames that overlap by three quarters repeat each other: this many frames are worth one independent
// one (1 + 2·Σ ρ² over the window's autocorrelation at one and two hops; computed from the definition).
constexpr double kFramesPerIndependent = 1.93;

// Mean over `quantile` of the average of `frames` frame powers of steady Gaussian noise. The average of n
// independent powers is gamma-distributed with shape n.
double bias_of(double quantile, double frames) {
    const double shape = std::max(1.0, frames / kFramesPerIndependent);
    return shape / boost::math::quantile(boost::math::gamma_distribution<double>(shape, 1.0), quantile);
}

} // namespace

NoiseFloor::NoiseFloor(std::size_t bins, const NoiseFloorSettings& settings)
    : block_frames_(static_cast<std::size_t>(std::llround(settings.block_s * settings.frame_rate_hz))),
      short_frames_(static_cast<std::size_t>(std::llround(kShortBlock_s * settings.frame_rate_hz))),
      window_blocks_(static_cast<std::size_t>(std::llround(settings.window_s / settings.block_s))),
      quantile_(settings.quantile),
      rise_factor_(static_cast<float>(std::pow(10.0, settings.rise_db_per_block / 10.0))) {
    if (bins == 0 || block_frames_ == 0 || window_blocks_ < kBlocksForQuantile ||
        !(quantile_ > 0.0 && quantile_ < 1.0) || !(settings.rise_db_per_block > 0.0)) {
        throw std::invalid_argument(
            "NoiseFloor: needs bins, blocks of a frame or more, a window of 4 blocks or more, "
            "a quantile within 0 and 1 and a rise above 0");
    }
    short_frames_ = std::clamp<std::size_t>(short_frames_, 1, block_frames_);
    stride_ = (bins + 3) / 4 * 4;
    block_sum_.resize(bins);
    short_sum_.resize(bins);
    shortest_mean_.resize(bins);
    floor_.resize(bins);
    history_.resize(window_blocks_ * stride_);
    lowest_.resize(rank_of(window_blocks_));
    target_.resize(stride_);
    block_bias_ = static_cast<float>(bias_of(quantile_, static_cast<double>(block_frames_)));
    short_bias_ = static_cast<float>(bias_of(0.2, static_cast<double>(short_frames_)));
    reset();
}

std::size_t NoiseFloor::rank_of(std::size_t blocks) const noexcept {
    return static_cast<std::size_t>(std::max(1.0, std::ceil(quantile_ * static_cast<double>(blocks))));
}

void NoiseFloor::reset() noexcept {
    frames_in_block_ = frames_in_short_ = blocks_seen_ = short_blocks_seen_ = 0;
    std::fill(history_.begin(), history_.end(), 0.0F);
    std::fill(block_sum_.begin(), block_sum_.end(), 0.0F);
    std::fill(short_sum_.begin(), short_sum_.end(), 0.0F);
    std::fill(shortest_mean_.begin(), shortest_mean_.end(), std::numeric_limits<float>::max());
    std::fill(floor_.begin(), floor_.end(), kLeastFloor);
}

void NoiseFloor::process(std::span<const float> power) noexcept {
    assert(power.size() == floor_.size());
    const std::size_t bins = floor_.size();
    float* sum = block_sum_.data();
    for (std::size_t k = 0; k < bins; ++k) sum[k] += power[k];
    ++frames_in_block_;
    if (blocks_seen_ < kBlocksForQuantile) start_up(power);
    if (frames_in_block_ == block_frames_) close_block();
}

// Before there are blocks enough for a quantile, the quietest short stretch so far is the floor: the first
// call of a recording that starts with one must not become its floor.
void NoiseFloor::start_up(std::span<const float> power) noexcept {
    for (std::size_t k = 0; k < power.size(); ++k) short_sum_[k] += power[k];
    ++frames_in_short_;
    const float scale = 1.0F / static_cast<float>(frames_in_short_);
    if (frames_in_short_ == short_frames_) {
        for (std::size_t k = 0; k < power.size(); ++k) {
            shortest_mean_[k] = std::min(shortest_mean_[k], short_sum_[k] * scale);
            floor_[k] = std::max(shortest_mean_[k] * short_bias_, kLeastFloor);
            short_sum_[k] = 0.0F;
        }
        frames_in_short_ = 0;
        ++short_blocks_seen_;
    } else if (short_blocks_seen_ == 0) {
        for (std::size_t k = 0; k < power.size(); ++k)
            floor_[k] = std::max(short_sum_[k] * scale, kLeastFloor);
    }
}

void NoiseFloor::close_block() noexcept {
    const std::size_t bins = floor_.size();
    const float scale = 1.0F / static_cast<float>(frames_in_block_);
    float* row = &history_[(blocks_seen_ % window_blocks_) * stride_];
    for (std::size_t k = 0; k < bins; ++k) {
        row[k] = block_sum_[k] * scale;
        block_sum_[k] = 0.0F;
    }
    frames_in_block_ = 0;
    ++blocks_seen_;
    if (blocks_seen_ < kBlocksForQuantile) return;

    const std::size_t blocks = std::min(blocks_seen_, window_blocks_);
    select_rank(blocks, rank_of(blocks));
    const bool first = blocks_seen_ == kBlocksForQuantile;
    for (std::size_t k = 0; k < bins; ++k) {
        const float wanted = std::max(target_[k] * block_bias_, kLeastFloor);
        const float allowed = first ? wanted : floor_[k] * rise_factor_;
        floor_[k] = wanted < allowed ? wanted : allowed;
    }
}

// target_ becomes the block mean of the given rank (1: the smallest) in each bin.
void NoiseFloor::select_rank(std::size_t blocks, std::size_t rank) noexcept {
    for (std::size_t from = 0; from < stride_; from += 4) {
        Lane4* lowest = lowest_.data(); // ascending, of the four bins at hand
        for (std::size_t r = 0; r < rank; ++r) lowest[r] = all4(std::numeric_limits<float>::max());
        for (std::size_t block = 0; block < blocks; ++block) {
            Lane4 value = load4(&history_[block * stride_ + from]);
            for (std::size_t r = 0; r < rank; ++r) {
                const Lane4 low = lowest[r];
                lowest[r] = smaller4(low, value);
                value = larger4(low, value);
            }
        }
        store4(&target_[from], lowest[rank - 1]);
    }
}

} // namespace quietpass::dsp
