// The running floor of steady noise (fans, compressors, hydraulics) in each bin or band.
//
// in: one power per bin a frame. out: the mean power of the steady noise in each bin, same scale.
// Method: powers are averaged over blocks of block_s; the floor is a low quantile of the last window_s of
// block averages (a steadier relative of minimum statistics, Martin, IEEE Trans. Speech Audio Proc. 9 (2001)
// 504), corrected for the quantile's bias on steady noise. A call leaves the floor where it was unless it
// fills a bin for more than (1 − quantile) of the window; a new machine is taken up within window_s; a
// machine that stops is let go within quantile · window_s. Until four blocks are there the quietest short
// stretch stands in. Cost is flat. Powers must be finite and ≥ 0. Allocates in the constructor only. Not
// thread-safe.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "dsp/analysis.h"
#include "dsp/lanes.h"

namespace quietpass::dsp {

struct NoiseFloorSettings {
    double frame_rate_hz = kFrameRateHz;
    double block_s = 0.5;           // ≥ 1 frame
    double window_s = 10.0;         // ≥ 4 blocks
    double quantile = 0.25;         // 0 < quantile < 1
    double rise_db_per_block = 6.0; // the floor never rises faster; it may fall at once
};

class NoiseFloor {
  public:
    explicit NoiseFloor(std::size_t bins = kBins, const NoiseFloorSettings& settings = {});

    std::size_t bins() const noexcept { return floor_.size(); }

    // One frame's powers, [bins].
    void process(std::span<const float> power) noexcept;

    // [bins], never below 1e-12 (−120 dB).
    std::span<const float> floor() const noexcept { return floor_; }

    // True once a whole window has been heard.
    bool settled() const noexcept { return blocks_seen_ >= window_blocks_; }

    void reset() noexcept;

  private:
    void start_up(std::span<const float> power) noexcept;
    void close_block() noexcept;
    void select_rank(std::size_t blocks, std::size_t rank) noexcept;
    std::size_t rank_of(std::size_t blocks) const noexcept;

    std::size_t block_frames_;
    std::size_t short_frames_;
    std::size_t window_blocks_;
    std::size_t stride_ = 0; // bins, rounded up to 4
    double quantile_;
    float rise_factor_;
    float block_bias_ = 1.0F;
    float short_bias_ = 1.0F;
    std::size_t frames_in_block_ = 0;
    std::size_t frames_in_short_ = 0;
    std::size_t blocks_seen_ = 0;
    std::size_t short_blocks_seen_ = 0;
    std::vector<float> block_sum_;
    std::vector<float> short_sum_;
    std::vector<float> shortest_mean_; // quietest short block so far, per bin
    std::vector<float> history_;       // [window_blocks][stride] ring of block means
    std::vector<float> target_;        // [stride]
    std::vector<Lane4> lowest_;        // [rank] scratch
    std::vector<float> floor_;
};

} // namespace quietpass::dsp
