#include "classifiers/voice_colour.h"

#include <algorithm>
#include <cmath>

#include "dsp/analysis.h"
#include "dsp/decibel.h"

namespace quietpass {

namespace {

constexpr int kMostHarmonics = 40;
constexpr float kHighestHz = 7000.0F;
constexpr float kStandsOut = 1.3F; // log2, 4 dB

float at(std::span<const float> values, float hz) noexcept {
    const float place =
        std::min(hz / static_cast<float>(dsp::kBinHz), static_cast<float>(dsp::kBins) - 1.001F);
    const auto k = static_cast<std::size_t>(place);
    const float upper = place - static_cast<float>(k);
    return values[k] + upper * (values[k + 1] - values[k]);
}

// The highest around: harmonics are seldom exactly where the fundamental puts them.
float around(std::span<const float> values, float hz) noexcept {
    const auto k = static_cast<std::size_t>(std::lround(hz / static_cast<float>(dsp::kBinHz)));
    if (k < 1 || k + 1 >= dsp::kBins) return 0.0F;
    return std::max(values[k], std::max(values[k - 1], values[k + 1]));
}

} // namespace

float VoiceColour::add(float f0_hz, std::span<const float> excess, std::span<const float> peaks) noexcept {
    Bands sum{};
    Bands taken{};
    float all = 0.0F;
    float loudest = 0.0F;
    float loudest_hz = 0.0F;
    float top_hz = 0.0F;
    int count = 0;
    std::size_t band = 0;
    float edge_hz = 250.0F;
    for (int h = 1; h <= kMostHarmonics; ++h) {
        const float hz = static_cast<float>(h) * f0_hz;
        if (h > 1 && hz > kHighestHz) break;
        while (band + 1 < kBands && hz >= edge_hz) {
            edge_hz *= 2.0F;
            ++band;
        }
        const float here = around(excess, hz);
        const float stands = around(peaks, hz);
        sum[band] += here;
        taken[band] += 1.0F;
        contrast_[band] += stands - at(peaks, hz + 0.5F * f0_hz);
        all += here;
        ++count;
        if (stands > kStandsOut) {
            standing_ += 1.0F;
            top_hz = hz;
        }
        (h % 2 == 1 ? odd_ : even_) += std::max(0.0F, stands);
        if (here > loudest) {
            loudest = here;
            loudest_hz = hz;
        }
    }
    highest_hz_ += top_hz;
    strongest_hz_ += loudest_hz;
    add_course(sum, taken);
    return all / static_cast<float>(count);
}

void VoiceColour::add_course(const Bands& sum, const Bands& count) noexcept {
    const std::size_t i = added_++;
    for (std::size_t b = 0; b < kBands; ++b) {
        level_[b] += sum[b];
        taken_[b] += count[b];
        if (count[b] <= 0.0F) continue;
        const float mean = sum[b] / count[b];
        if (i > 0) changes_ += std::abs(mean - before_[b]);
        before_[b] = mean;
        if (3 * i < frames_) {
            early_[b] += mean;
            early_taken_[b] += 1.0F;
        } else if (3 * i >= 2 * frames_) {
            late_[b] += mean;
            late_taken_[b] += 1.0F;
        }
    }
}

void VoiceColour::write(MeasureRow& row) const noexcept {
    const auto frames = static_cast<float>(frames_);
    float drift = 0.0F;
    for (std::size_t b = 0; b < kBands; ++b) {
        if (taken_[b] <= 0.0F) continue;
        row[kVoice125Db + b] = dsp::kDbPerLog2 * level_[b] / taken_[b];
        row[kVoiceContrast125Db + b] = dsp::kDbPerLog2 * contrast_[b] / taken_[b];
        if (early_taken_[b] > 0.0F && late_taken_[b] > 0.0F) {
            drift += std::abs(early_[b] / early_taken_[b] - late_[b] / late_taken_[b]);
        }
    }
    constexpr float kPerBand = dsp::kDbPerLog2 / static_cast<float>(kBands);
    row[kVoiceDriftDb] = kPerBand * drift;
    row[kVoiceChangeDb] = kPerBand * changes_ / frames;
    row[kVoiceHarmonics] = standing_ / frames;
    row[kVoiceHighestHz] = highest_hz_ / frames;
    row[kVoiceStrongestHz] = strongest_hz_ / frames;
    row[kVoiceOddShare] = odd_ + even_ > 0.0F ? odd_ / (odd_ + even_) : 0.0F;
    row[kVoiceTiltDb] = 0.25F * (row[kVoice2kDb] + row[kVoice4kDb] - row[kVoice250Db] - row[kVoice125Db]);
    row[kVoiceHumpDb] = row[kVoice500Db] - 0.5F * (row[kVoice250Db] + row[kVoice2kDb]);
}

} // namespace quietpass
