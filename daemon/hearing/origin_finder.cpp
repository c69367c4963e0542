#include "daemon/hearing/origin_finder.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "dsp/decibel.h"

namespace quietpass {

namespace {

// The background is what the quieter frames before the call hold: a bang there must not raise it. A third of
// noise's frames are below 0.405 of its mean (exponential distribution; computed from the definition).
constexpr std::size_t kQuieterThird = 3;
constexpr float kMeanOfThird = 1.0F / 0.4055F;
constexpr float kStandsOut = 4.0F;       // power over background from which a bin is a sound's
constexpr double kSurelyMeasured = 0.05; // of the background: less than this over it can't be measured
constexpr double kSilentPower = 1e-12;   // background of a microphone that is not there
constexpr double kLongestDelay_s = 0.0319;
constexpr double kSamePitch_octaves = 0.6; // from the call's median
constexpr std::size_t kLeastVoiced = 6;    // frames: a tenth of a second
constexpr std::size_t kBeside = 1;         // bins on either side of a harmonic

std::size_t bin_of(double hz) {
    return static_cast<std::size_t>(std::lround(hz / dsp::kBinHz));
}

double median_of(std::vector<double>& values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

} // namespace

OriginFinder::OriginFinder(const MicrophonePair& pair, double low_hz, double high_hz)
    : pair_(pair),
      low_bin_(std::max<std::size_t>(1, bin_of(low_hz))),
      high_bin_(std::min(dsp::kBins - 2, bin_of(high_hz))),
      delay_(dsp::kAnalysisRateHz, low_hz, std::min(high_hz, 0.5 * dsp::kAnalysisRateHz),
             std::min(longest_delay_s(pair), kLongestDelay_s)),
      power_(dsp::kBins),
      lead_powers_(dsp::kBins) {}

void OriginFinder::look(std::span<const float> samples, std::size_t lead, double f0_hz, View& out) {
    for (auto& powers : lead_powers_) powers.clear();
    for (std::size_t start = 0; start + dsp::kFrameSize <= lead; start += dsp::kHop) {
        spectrum_.process(samples.subspan(start, dsp::kFrameSize), power_);
        for (std::size_t bin = 0; bin < dsp::kBins; ++bin) lead_powers_[bin].push_back(power_[bin]);
    }
    out.floor.resize(dsp::kBins);
    for (std::size_t bin = 0; bin < dsp::kBins; ++bin) {
        auto& powers = lead_powers_[bin];
        const auto third = powers.begin() + static_cast<std::ptrdiff_t>(powers.size() / kQuieterThird);
        std::nth_element(powers.begin(), third, powers.end());
        out.floor[bin] = kMeanOfThird * *third;
    }
    out.powers.resize(frames_ * dsp::kBins);
    out.pitch.assign(frames_, {});
    candidates_.assign(frames_, {});
    for (std::size_t frame = 0; frame < frames_; ++frame) {
        const std::span<float> power = std::span(out.powers).subspan(frame * dsp::kBins, dsp::kBins);
        spectrum_.process(samples.subspan(lead + frame * dsp::kHop, dsp::kFrameSize), power);
        pitch_.process(power, out.floor, candidates_[frame]);
    }
    path_.process(candidates_, out.pitch);
    out.voiced = 0.0;
    for (dsp::PitchPoint& point : out.pitch) {
        const bool other = f0_hz > 0.0 && point.f0_hz > 0.0F &&
                           std::abs(std::log2(static_cast<double>(point.f0_hz) / f0_hz)) > kSamePitch_octaves;
        if (other) point = {};
        out.voiced += static_cast<double>(point.strength);
    }
}

void OriginFinder::mark_harmonics(const View& view) {
    for (std::size_t frame = 0; frame < frames_; ++frame) {
        const auto f0_hz = static_cast<double>(view.pitch[frame].f0_hz);
        if (f0_hz <= 0.0) continue;
        for (double hz = f0_hz; bin_of(hz) <= high_bin_; hz += f0_hz) {
            const std::size_t bin = bin_of(hz);
            if (bin < low_bin_) continue;
            for (std::size_t beside = bin - kBeside; beside <= bin + kBeside; ++beside) {
                cells_[frame * dsp::kBins + beside] = 1;
            }
        }
    }
}

// Bins, over the whole call: in one frame noise stands out by chance.
void OriginFinder::mark_what_stands_out() {
    for (std::size_t bin = low_bin_; bin <= high_bin_; ++bin) {
        float near = 0.0F;
        float far = 0.0F;
        for (std::size_t frame = 0; frame < frames_; ++frame) {
            near += near_.frame(frame)[bin];
            far += far_.frame(frame)[bin];
        }
        const float from = kStandsOut * static_cast<float>(frames_);
        if (near < from * near_.floor[bin] && far < from * far_.floor[bin]) continue;
        for (std::size_t frame = 0; frame < frames_; ++frame) cells_[frame * dsp::kBins + bin] = 1;
    }
}

// Medians over the frames that have cells; false where there are none.
bool OriginFinder::weigh_levels(OriginEvidence& evidence) {
    louder_db_.clear();
    near_clear_db_.clear();
    far_clear_db_.clear();
    for (std::size_t frame = 0; frame < frames_; ++frame) {
        double near_floor = 0.0;
        double far_floor = 0.0;
        double near_power = 0.0;
        double far_power = 0.0;
        for (std::size_t bin = low_bin_; bin <= high_bin_; ++bin) {
            if (cells_[frame * dsp::kBins + bin] == 0) continue;
            near_floor += static_cast<double>(near_.floor[bin]);
            far_floor += static_cast<double>(far_.floor[bin]);
            near_power += static_cast<double>(near_.frame(frame)[bin]);
            far_power += static_cast<double>(far_.frame(frame)[bin]);
        }
        if (near_floor < kSilentPower || far_floor < kSilentPower) continue;
        const double near_call = std::max(near_power - near_floor, kSurelyMeasured * near_floor);
        const double far_call = std::max(far_power - far_floor, kSurelyMeasured * far_floor);
        louder_db_.push_back(dsp::decibel(far_call / near_call));
        near_clear_db_.push_back(dsp::decibel(near_call / near_floor));
        far_clear_db_.push_back(dsp::decibel(far_call / far_floor));
    }
    if (louder_db_.empty()) return false;
    evidence.louder_db = median_of(louder_db_);
    evidence.near_clear_db = median_of(near_clear_db_);
    evidence.far_clear_db = median_of(far_clear_db_);
    evidence.clearer_db = evidence.far_clear_db - evidence.near_clear_db;
    return true;
}

void OriginFinder::weigh_delay(std::span<const float> near, std::span<const float> far,
                               OriginEvidence& evidence) {
    // A cell says as much of the delay as the call's share of it at both; a bin of the longer frames is the
    // mean of the cells that it covers.
    constexpr std::size_t kFiner = (dsp::DelayEstimator::kBins - 1) / (dsp::kBins - 1);
    constexpr std::size_t kStep = dsp::DelayEstimator::kStep / dsp::kHop;
    constexpr std::size_t kCovered = (dsp::DelayEstimator::kFrame - dsp::kFrameSize) / dsp::kHop + 1;
    const std::size_t delay_frames = dsp::DelayEstimator::frames_of(near.size());
    weights_.assign(delay_frames * dsp::DelayEstimator::kBins, 0.0F);
    const auto share_of = [](float power, float floor) {
        return std::max(0.0F, power - floor) / (power + 1e-30F);
    };
    for (std::size_t long_frame = 0; long_frame < delay_frames; ++long_frame) {
        float* const weights = weights_.data() + long_frame * dsp::DelayEstimator::kBins;
        const std::size_t until = std::min(frames_, long_frame * kStep + kCovered);
        for (std::size_t frame = long_frame * kStep; frame < until; ++frame) {
            for (std::size_t bin = low_bin_; bin <= high_bin_; ++bin) {
                if (cells_[frame * dsp::kBins + bin] == 0) continue;
                const float share = share_of(near_.frame(frame)[bin], near_.floor[bin]) *
                                    share_of(far_.frame(frame)[bin], far_.floor[bin]) /
                                    static_cast<float>(kCovered);
                for (std::size_t i = 0; i < kFiner; ++i) weights[bin * kFiner + i - kFiner / 2] += share;
            }
        }
    }
    delay_.process(near, far, weights_);
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

std::optional<OriginEvidence> OriginFinder::measure(std::span<const float> near, std::span<const float> far,
                                                    std::size_t lead, HeardAt heard_at, double f0_hz) {
    assert(near.size() == far.size());
    if (lead < kLeastLead || near.size() < lead + dsp::kFrameSize) return std::nullopt;
    frames_ = std::min<std::size_t>((near.size() - lead - dsp::kFrameSize) / dsp::kHop + 1,
                                    dsp::PitchPath::kMaxFrames);
    look(near, lead, f0_hz, near_);
    look(far, lead, f0_hz, far_);

    cells_.assign(frames_ * dsp::kBins, 0);
    const bool at_far =
        heard_at == HeardAt::kFar || (heard_at == HeardAt::kEither && far_.voiced > near_.voiced);
    const View& heard = at_far ? far_ : near_;
    const auto voiced = std::count_if(heard.pitch.begin(), heard.pitch.end(),
                                      [](const dsp::PitchPoint& point) { return point.f0_hz > 0.0F; });
    if (static_cast<std::size_t>(voiced) >= kLeastVoiced) {
        mark_harmonics(heard);
    } else {
        mark_what_stands_out();
    }
    OriginEvidence evidence;
    if (!weigh_levels(evidence)) return std::nullopt;
    if (pair_.one_clock && longest_delay_s(pair_) <= kLongestDelay_s) {
        weigh_delay(near.subspan(lead), far.subspan(lead), evidence);
    }
    return evidence;
}

} // namespace quietpass
