#include "classifiers/noise_rules.h"

namespace quietpass {

std::string_view name_of(NoiseKind kind) {
    return kind == NoiseKind::kBang ? "bang" : "hiss";
}

std::optional<NoiseKind> noise_from(std::string_view word) {
    for (const NoiseKind kind : {NoiseKind::kBang, NoiseKind::kHiss}) {
        if (name_of(kind) == word) return kind;
    }
    return std::nullopt;
}

bool is_bang(const NoiseRules& rules, const Impact& impact) noexcept {
    return impact.rise_db >= rules.bang_rise_db && impact.fall_db >= rules.bang_fall_db;
}

bool may_hold_bangs(const NoiseRules& rules, const MeasureRow& measures) noexcept {
    return measures[kVoiceTone] < rules.bang_voice_tone;
}

bool is_hiss(const NoiseRules& rules, const MeasureRow& measures) noexcept {
    return measures[kDurationS] >= rules.hiss_s && measures[kEntropy] >= rules.hiss_entropy &&
           measures[kHissDb] >= rules.hiss_db && measures[kTonalBins] <= rules.hiss_tonal;
}

} // namespace quietpass
