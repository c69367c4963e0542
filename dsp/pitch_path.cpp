#include "dsp/pitch_path.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

namespace quietpass::dsp {

namespace {

constexpr std::size_t kStates = kPitchCandidates + 1; // the last one: no pitch
constexpr std::size_t kUnvoiced = kPitchCandidates;
constexpr float kImpossible = -1e30F;

struct Column {
    std::array<float, kStates> value{};
    std::array<float, kStates> log2_f0{};
    std::size_t count = 0;
};

} // namespace

PitchPath::PitchPath(const PitchPathSettings& settings) : settings_(settings), back_(kMaxFrames * kStates) {}

void PitchPath::process(std::span<const PitchFrame> frames, std::span<PitchPoint> points) noexcept {
    assert(points.size() >= frames.size());
    for (std::size_t n = 0; n < frames.size(); ++n) points[n] = PitchPoint{};
    const std::size_t count = std::min(frames.size(), kMaxFrames);
    if (count == 0) return;

    const auto leap_cost = static_cast<float>(settings_.leap_cost_per_octave);
    const auto free_leap = static_cast<float>(settings_.free_leap_octaves);
    const auto switch_cost = static_cast<float>(settings_.switch_cost);
    const auto weight = static_cast<float>(settings_.periodicity_weight);
    const auto neutral = static_cast<float>(settings_.neutral_periodicity);
    const auto gain = [=](const PitchCandidate& candidate) {
        return candidate.strength + weight * (candidate.periodicity - neutral);
    };
    const auto unvoiced = static_cast<float>(settings_.unvoiced_strength);

    Column before;
    for (std::size_t n = 0; n < count; ++n) {
        const PitchFrame& frame = frames[n];
        Column now;
        now.count = std::min(frame.count, kPitchCandidates);
        for (std::size_t s = 0; s < kStates; ++s) {
            const bool voiced = s < now.count;
            if (!voiced && s != kUnvoiced) {
                now.value[s] = kImpossible;
                continue;
            }
            if (voiced) now.log2_f0[s] = std::log2(frame.candidates[s].f0_hz);
            float best = n == 0 ? 0.0F : kImpossible;
            std::size_t from = s;
            for (std::size_t p = 0; n > 0 && p < kStates; ++p) {
                if (p >= before.count && p != kUnvoiced) continue;
                float cost = 0.0F;
                if (voiced != (p != kUnvoiced)) {
                    cost = switch_cost;
                } else if (voiced) {
                    const float leap = std::abs(now.log2_f0[s] - before.log2_f0[p]);
                    cost = leap_cost * std::max(0.0F, leap - free_leap);
                }
                if (before.value[p] - cost > best) {
                    best = before.value[p] - cost;
                    from = p;
                }
            }
            now.value[s] = best + (voiced ? gain(frame.candidates[s]) : unvoiced);
            back_[n * kStates + s] = static_cast<std::uint8_t>(from);
        }
        before = now;
    }

    const auto end = std::max_element(before.value.begin(), before.value.end());
    auto state = static_cast<std::size_t>(end - before.value.begin());
    for (std::size_t n = count; n-- > 0;) {
        if (state != kUnvoiced) {
            const PitchCandidate& candidate = frames[n].candidates[state];
            points[n] = {candidate.f0_hz, candidate.strength, candidate.periodicity};
        }
        state = back_[n * kStates + state];
    }
}

} // namespace quietpass::dsp
