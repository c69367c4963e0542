#include "classifiers/tuning/threshold_grid.h"

#include <algorithm>
#include <cmath>

namespace quietpass::tuning {
namespace {

float rounded(float value) {
    if (value == 0.0F || !std::isfinite(value)) return value;
    const double scale = std::pow(10.0, 2.0 - std::floor(std::log10(std::abs(static_cast<double>(value)))));
    return static_cast<float>(std::round(static_cast<double>(value) * scale) / scale);
}

void add_quantiles(std::vector<float> values, std::size_t count, std::vector<float>& out) {
    if (values.empty()) return;
    std::sort(values.begin(), values.end());
    for (std::size_t i = 1; i <= count; ++i) {
        out.push_back(rounded(values[i * (values.size() - 1) / (count + 1)]));
    }
}

} // namespace

ThresholdGrid::ThresholdGrid(const std::vector<const LabelledSound*>& sounds, std::size_t per_measure) {
    for (std::size_t m = 0; m < kMeasureCount; ++m) {
        std::vector<float> calls;
        std::vector<float> others;
        for (const LabelledSound* sound : sounds) {
            (sound->label == SpanLabel::kCall ? calls : others).push_back(sound->measures[m]);
        }
        std::vector<float>& thresholds = thresholds_[m];
        add_quantiles(std::move(calls), per_measure / 2, thresholds);
        add_quantiles(std::move(others), per_measure / 2, thresholds);
        std::sort(thresholds.begin(), thresholds.end());
        thresholds.erase(std::unique(thresholds.begin(), thresholds.end()), thresholds.end());
    }
}

Matrix ThresholdGrid::steps_of(const std::vector<const LabelledSound*>& sounds) const {
    Matrix matrix{sounds.size(), kMeasureCount, std::vector<float>(sounds.size() * kMeasureCount)};
    for (std::size_t row = 0; row < sounds.size(); ++row) {
        for (std::size_t m = 0; m < kMeasureCount; ++m) {
            const std::vector<float>& thresholds = thresholds_[m];
            // value > threshold, so a value on a threshold doesn't count it.
            const auto under =
                std::lower_bound(thresholds.begin(), thresholds.end(), sounds[row]->measures[m]);
            matrix.values[row * kMeasureCount + m] = static_cast<float>(under - thresholds.begin());
        }
    }
    return matrix;
}

Condition ThresholdGrid::condition(std::size_t measure, double split, bool above) const {
    const auto step = static_cast<std::size_t>(std::max(1.0, std::ceil(split)));
    return {measure, above, thresholds_[measure][std::min(step, thresholds_[measure].size()) - 1]};
}

} // namespace quietpass::tuning
