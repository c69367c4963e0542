// Candidates for the fundamental of one frame, found in the power spectrum that is there already.
//
// in: [bins] powers and [bins] noise floor of the same scale. out: up to kPitchCandidates (f0, strength),
// strongest first, within lowest_hz … highest_hz; none when nothing stands above the floor. Method: the
// floor-subtracted spectrum, compressed, on a logarithmic frequency axis; each f0 is scored by its harmonics
// minus the gaps between them (after SWIPE', Camacho & Harris, J. Acoust. Soc. Am. 124 (2008) 1638), so that
// neither half nor double the pitch scores as high. Each candidate is then refined on the autocorrelation at
// its lag, evaluated straight from the floor-subtracted powers and divided by the window's own (Boersma,
// Proc. Inst. Phonetic Sciences 17 (1993) 97), which also gives the periodicity r: harmonics-to-noise ratio =
// 10·log10(r / (1 − r)). Allocates in the constructor only. Not thread-safe.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "dsp/analysis.h"

namespace quietpass::dsp {

inline constexpr std::size_t kPitchCandidates = 5;

struct PitchCandidate {
    float f0_hz = 0.0F;
    float strength = 0.0F;    // 0 … 1: how well the whole spectrum is explained by this f0's harmonics
    float periodicity = 0.0F; // 0 … 1: share of the (floor-subtracted) power that repeats with this period
};

struct PitchFrame {
    std::array<PitchCandidate, kPitchCandidates> candidates{};
    std::size_t count = 0;
};

// Harmonics-to-noise ratio of a periodicity, dB, within −40 … 40.
double harmonics_to_noise_db(double periodicity);

struct PitchSettings {
    double lowest_hz = 50.0;
    double highest_hz = 2500.0;
    double floor_margin = 2.0;      // bins below floor · margin count as empty
    double dynamic_range_db = 60.0; // bins this far below the frame's strongest count as empty
};

class PitchEstimator {
  public:
    explicit PitchEstimator(std::size_t frame_size = kFrameSize, double rate_hz = kAnalysisRateHz,
                            const PitchSettings& settings = {});

    void process(std::span<const float> power, std::span<const float> floor, PitchFrame& found) noexcept;

  private:
    struct Point {
        std::uint32_t bin;
        std::uint32_t count; // 0: interpolate between bin and bin + 1; else the strongest of `count` bins
        float share;         // of bin + 1
    };
    struct KernelTap {
        std::ptrdiff_t offset; // steps of the axis from f0
        float weight;
    };

    void lay_axis(double rate_hz);
    void lay_kernel();
    bool compress(std::span<const float> power, std::span<const float> floor) noexcept;
    void warp() noexcept;
    void score() noexcept;
    void pick(PitchFrame& found) const noexcept;
    void refine(PitchCandidate& candidate) const noexcept;

    PitchSettings settings_;
    std::size_t frame_size_;
    double bin_hz_;
    double least_hz_;          // where the logarithmic axis begins
    std::size_t first_f0_ = 0; // step of the axis of the lowest f0
    std::size_t f0_count_ = 0;
    float dynamic_range_;
    double clean_power_ = 0.0;      // sum of clean_
    std::size_t clean_end_ = 0;     // multiple of 8: from here on clean_ is 0
    std::vector<float> clean_;      // [bins] floor-subtracted power
    std::vector<float> amplitude_;  // [bins] its square root
    std::vector<float> compressed_; // [bins + 1] its fourth root
    std::vector<float> energy_;     // [bins / 8 + 1] energy of the compressed spectrum below each eighth bin
    std::vector<Point> points_;     // the logarithmic axis
    std::vector<float> axis_;       // [points] compressed spectrum on it, then zeros
    std::vector<KernelTap> kernel_;
    std::vector<float> kernel_norm_;   // [f0 steps, rounded up to 8]
    std::vector<std::uint32_t> reach_; // [f0 steps, rounded up to 8] index into energy_ of the last harmonic
    std::vector<float> salience_;      // [f0 steps, rounded up to 8]
    std::vector<float> window_correlation_; // [frame_size/2] autocorrelation of the window, 1 at lag 0
};

} // namespace quietpass::dsp
