#include "daemon/calibration/calibrator_tone.h"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <stdexcept>

#include "dsp/decibel.h"
#include "dsp/spectral_measures.h"

namespace quietpass {

namespace {

constexpr double kTone_hz = 1000.0;
constexpr double kTolerance = 0.02;
constexpr double kOverRest_db = 15.0;
constexpr double kMostDistortion_percent = 5.0;
constexpr double kMostSpread_db = 0.3;
constexpr float kFullScale = 0.998F;
constexpr double kLowest_hz = 100.0;
constexpr double kHighest_hz = 8000.0;
constexpr int kMostHarmonic = 5;

std::size_t frame_size(double rate_hz) {
    if (!(rate_hz >= 16000.0)) throw std::invalid_argument("CalibratorTone: a sample rate of 16 kHz or more");
    return std::bit_floor(static_cast<std::size_t>(rate_hz / 5.0));
}

} // namespace

CalibratorTone::CalibratorTone(double sample_rate_hz, double steady_s)
    : rate_hz_(sample_rate_hz),
      steady_s_(steady_s),
      bin_hz_(sample_rate_hz / static_cast<double>(frame_size(sample_rate_hz))),
      framer_(frame_size(sample_rate_hz), frame_size(sample_rate_hz)),
      spectrum_(framer_.frame().size()),
      power_(spectrum_.bins()),
      frames_wanted_(static_cast<std::size_t>(std::ceil(steady_s * bin_hz_))) {}

CalibratorTone::Finding CalibratorTone::examine(std::span<const float> samples, Frame& frame) {
    spectrum_.process(samples, power_);
    const dsp::BinRange all =
        dsp::bins_between(kLowest_hz, std::min(kHighest_hz, 0.45 * rate_hz_), bin_hz_, power_.size());
    const dsp::SpectralShape shape = dsp::spectral_shape(power_, all, bin_hz_);
    // A line's power lies within three bins about it; what the window spreads further is below 0.01 %.
    const auto power_at = [&](double hz) {
        return dsp::band_power(
            power_, dsp::bins_between(hz - 3.5 * bin_hz_, hz + 3.5 * bin_hz_, bin_hz_, power_.size()));
    };
    const double tone = power_at(shape.peak_hz);
    double harmonics = 0.0;
    for (int number = 2; number <= kMostHarmonic; ++number) {
        const double hz = number * shape.peak_hz;
        if (hz < std::min(kHighest_hz, 0.45 * rate_hz_) - 4.0 * bin_hz_) harmonics += power_at(hz);
    }
    const double rest = std::max(shape.power - tone - harmonics, 0.0);
    frame.level_db = dsp::decibel(tone / spectrum_.noise_bandwidth_bins());
    frame.frequency_hz = shape.peak_hz;
    frame.over_rest_db = std::min(dsp::decibel(tone) - dsp::decibel(rest), 120.0);
    frame.distortion_percent = tone > 0.0 ? 100.0 * std::sqrt(harmonics / tone) : 0.0;

    const bool at_full_scale =
        std::any_of(samples.begin(), samples.end(), [](float s) { return std::abs(s) >= kFullScale; });
    if (at_full_scale) return kClipped;
    if (tone <= 0.0 || frame.over_rest_db < kOverRest_db) return kNothing;
    if (std::abs(frame.frequency_hz - kTone_hz) > kTolerance * kTone_hz) return kElsewhere;
    if (frame.distortion_percent > kMostDistortion_percent) return kDistorted;
    return kTone;
}

void CalibratorTone::process(std::span<const float> samples) {
    next_sample_ += static_cast<std::int64_t>(samples.size());
    while (framer_.next(samples)) {
        Frame frame{};
        frame.start_s = static_cast<double>(frame_start_) / rate_hz_;
        frame_start_ += static_cast<std::int64_t>(framer_.frame().size());
        const Finding finding = examine(framer_.frame(), frame);
        ++counts_[finding];
        latest_[finding] = frame;
        if (finding != kTone) {
            stretch_.clear();
            in_a_row_ = 0;
            continue;
        }
        longest_in_a_row_ = std::max(longest_in_a_row_, ++in_a_row_);
        stretch_.push_back(frame);
        if (stretch_.size() > frames_wanted_) stretch_.pop_front();
        if (stretch_.size() == frames_wanted_) judge_stretch();
    }
}

void CalibratorTone::judge_stretch() {
    const auto by_level = [](const Frame& a, const Frame& b) { return a.level_db < b.level_db; };
    const auto [lowest, highest] = std::minmax_element(stretch_.begin(), stretch_.end(), by_level);
    const double spread_db = highest->level_db - lowest->level_db;
    if (least_spread_db_ >= 0.0 && spread_db >= least_spread_db_) return;
    least_spread_db_ = spread_db;
    if (spread_db > kMostSpread_db) return;
    SteadyTone tone;
    tone.start_s = stretch_.front().start_s;
    tone.end_s = stretch_.back().start_s + 1.0 / bin_hz_;
    tone.spread_db = spread_db;
    tone.over_rest_db = stretch_.front().over_rest_db;
    double power = 0.0;
    for (const Frame& frame : stretch_) {
        power += dsp::power_from_decibel(frame.level_db);
        tone.frequency_hz += frame.frequency_hz;
        tone.over_rest_db = std::min(tone.over_rest_db, frame.over_rest_db);
        tone.distortion_percent = std::max(tone.distortion_percent, frame.distortion_percent);
    }
    const double count = static_cast<double>(stretch_.size());
    tone.level_db = dsp::decibel(power / count);
    tone.frequency_hz /= count;
    best_ = tone;
}

void CalibratorTone::lose(std::int64_t count) {
    // The frame under way is dropped; time goes on.
    framer_.reset();
    next_sample_ += count;
    frame_start_ = next_sample_;
    stretch_.clear();
    in_a_row_ = 0;
}

double CalibratorTone::tone_for_s() const {
    return static_cast<double>(in_a_row_) / bin_hz_;
}

std::string CalibratorTone::why_not() const {
    std::size_t frames = 0;
    for (const std::size_t count : counts_) frames += count;
    if (frames < frames_wanted_) {
        return fmt::format("only {:.1f} s of audio; {:.0f} s of the steady tone are needed",
                           static_cast<double>(frames) / bin_hz_, steady_s_);
    }
    if (longest_in_a_row_ >= frames_wanted_) {
        return fmt::format(
            "the tone is not steady: its level moves by {:.1f} dB within {:.0f} s, {:.1f} dB are "
            "allowed; seat the calibrator firmly and look at its battery",
            least_spread_db_, steady_s_, kMostSpread_db);
    }
    if (2 * counts_[kClipped] >= frames - counts_[kNothing] && counts_[kClipped] > 0) {
        return "the tone is clipped: it stands at full scale; turn the microphone's gain down";
    }
    if (longest_in_a_row_ > 0) {
        return fmt::format("the tone lasts for {:.1f} s only; {:.0f} s without a break are needed",
                           static_cast<double>(longest_in_a_row_) / bin_hz_, steady_s_);
    }
    if (counts_[kDistorted] > 0) {
        return fmt::format(
            "the tone is distorted by {:.0f} %, {:.0f} % are allowed; turn the gain before the "
            "converter down and look at the calibrator's battery",
            latest_[kDistorted].distortion_percent, kMostDistortion_percent);
    }
    if (counts_[kElsewhere] > 0) {
        return fmt::format("the tone is at {:.0f} Hz; a calibrator of 1000 Hz is needed",
                           latest_[kElsewhere].frequency_hz);
    }
    const double over_db = latest_[kNothing].over_rest_db;
    return fmt::format(
        "no steady tone: the strongest part, at {:.0f} Hz, lies {:.0f} dB {} the rest, {:.0f} dB over "
        "it are needed; put the calibrator on the microphone and switch it on",
        latest_[kNothing].frequency_hz, std::abs(over_db), over_db < 0.0 ? "under" : "over", kOverRest_db);
}

} // namespace quietpass
