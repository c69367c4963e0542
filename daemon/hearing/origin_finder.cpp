#include "daemon/hearing/origin_finder.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "dsp/analysis.h"
#include "dsp/decibel.h"

namespace quietpass {

namespace {

// The background is what the quieter frames before the call hold: a bang there must not raise it. A third of
// noise's frames are below 0.405 of its mean (exponential distribution; computed from the definition).
constexpr std::size_t kQuieterThird = 3;
constexpr double kMeanOfThird = 1.0 / 0.4055;
constexpr double kStandsOut = 4.0;       // power over background from which a bin is the call's
constexpr double kSurelyMeasured = 0.05; // of the background: less than this over it can't be measured
constexpr double kSilentPower = 1e-12;   // mean power of a microphone that is not there
constexpr double kLongestDelay_s = 0.0319;

std::size_t bin_of(double hz) {
    return static_cast<std::size_t>(std::lround(hz / dsp::kBinHz));
}

} // namespace

OriginFinder::OriginFinder(const MicrophonePair& pair, double low_hz, double high_hz)
    : pair_(pair),
      low_bin_(std::max<std::size_t>(1, bin_of(low_hz))),
      high_bin_(std::min(dsp::kBins - 2, bin_of(high_hz))),
      delay_(dsp::kAnalysisRateHz, low_hz, std::min(high_hz, 0.5 * dsp::kAnalysisRateHz),
             std::min(longest_delay_s(pair), kLongestDelay_s)),
      power_(dsp::kBins),
      lead_powers_(dsp::kBins),
      weights_(dsp::DelayEstimator::kBins) {}

void OriginFinder::measure_spectra(std::span<const float> samples, std::size_t lead, Spectra& out) {
    out.floor.assign(dsp::kBins, 0.0);
    out.call.assign(dsp::kBins, 0.0);
    for (auto& powers : lead_powers_) powers.clear();
    std::size_t frames = 0;
    for (std::size_t start = 0; start + dsp::kFrameSize <= samples.size(); start += dsp::kHop) {
        const bool before = start + dsp::kFrameSize <= lead;
        if (!before && start < lead) continue;
        spectrum_.process(samples.subspan(start, dsp::kFrameSize), power_);
        for (std::size_t bin = low_bin_; bin <= high_bin_; ++bin) {
            if (before) {
                lead_powers_[bin].push_back(power_[bin]);
            } else {
                out.call[bin] += static_cast<double>(power_[bin]);
            }
        }
        frames += before ? 0 : 1;
    }
    for (std::size_t bin = low_bin_; bin <= high_bin_; ++bin) {
        auto& powers = lead_powers_[bin];
        const auto third = powers.begin() + static_cast<std::ptrdiff_t>(powers.size() / kQuieterThird);
        std::nth_element(powers.begin(), third, powers.end());
        out.floor[bin] = kMeanOfThird * static_cast<double>(*third);
        if (frames > 0) out.call[bin] /= static_cast<double>(frames);
    }
}

std::optional<OriginEvidence> OriginFinder::measure(std::span<const float> near, std::span<const float> far,
                                                    std::size_t lead) {
    assert(near.size() == far.size());
    if (lead < kLeastLead || near.size() < lead + dsp::kFrameSize) return std::nullopt;
    measure_spectra(near, lead, near_);
    measure_spectra(far, lead, far_);

    double near_floor = 0.0;
    double far_floor = 0.0;
    double near_call = 0.0;
    double far_call = 0.0;
    std::fill(weights_.begin(), weights_.end(), 0.0F);
    constexpr std::size_t kFiner = (dsp::DelayEstimator::kBins - 1) / (dsp::kBins - 1);
    for (std::size_t bin = low_bin_; bin <= high_bin_; ++bin) {
        const double near_over = std::max(0.0, near_.call[bin] - near_.floor[bin]);
        const double far_over = std::max(0.0, far_.call[bin] - far_.floor[bin]);
        if (near_.call[bin] < kStandsOut * near_.floor[bin] && far_.call[bin] < kStandsOut * far_.floor[bin])
            continue;
        near_floor += near_.floor[bin];
        far_floor += far_.floor[bin];
        near_call += near_over;
        far_call += far_over;
        // A bin says as much of the delay as the call's share of it at both.
        const double share = near_over * far_over / (near_.call[bin] * far_.call[bin] + 1e-30);
        for (std::size_t i = 0; i < kFiner; ++i) {
            weights_[std::min(bin * kFiner + i - kFiner / 2, weights_.size() - 1)] =
                static_cast<float>(share);
        }
    }
    if (near_floor < kSilentPower || far_floor < kSilentPower) return std::nullopt;

    OriginEvidence evidence;
    near_call = std::max(near_call, kSurelyMeasured * near_floor);
    far_call = std::max(far_call, kSurelyMeasured * far_floor);
    evidence.near_clear_db = dsp::decibel(near_call / near_floor);
    evidence.far_clear_db = dsp::decibel(far_call / far_floor);
    evidence.louder_db = dsp::decibel(far_call / near_call);
    evidence.clearer_db = evidence.far_clear_db - evidence.near_clear_db;
    if (pair_.one_clock && longest_delay_s(pair_) <= kLongestDelay_s) {
        delay_.process(near.subspan(lead), far.subspan(lead), weights_);
        const double border_s = waiting_delays_below_s(pair_);
        const auto waiting = delay_.strongest(-1.0, border_s);
        const auto restraint = delay_.strongest(border_s, 1.0);
        evidence.has_delay = true;
        evidence.waiting_delay_s = waiting.delay_s;
        evidence.waiting_height = waiting.height;
        evidence.restraint_delay_s = restraint.delay_s;
        evidence.restraint_height = restraint.height;
        evidence.spread = delay_.spread();
    }
    return evidence;
}

} // namespace quietpass
