#include "tests/soak/plant_sound.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "tests/scenario/random.h"

namespace quietpass::soak {

namespace {

constexpr std::size_t kHall = 30 * 48000;

std::int64_t frame_of(double seconds) {
    return std::llround(seconds * Reel::kRate_hz);
}

} // namespace

PlantSound::PlantSound(const Plan& plan, std::vector<Reel*> reels, std::uint64_t seed)
    : plan_(plan), reels_(std::move(reels)), hall_(kHall) {
    scenario::Random random(seed, "hall");
    float low = 0.0F;
    for (float& sample : hall_) {
        low = 0.97F * low + static_cast<float>(random.uniform(-0.002, 0.002));
        sample = low;
    }
}

bool PlantSound::powered(double time_s) {
    while (work_ < plan_.works.size() && time_s >= plan_.works[work_].power_off_s) {
        ++work_;
        reel_ = 0;
    }
    return work_ < plan_.works.size() && time_s >= plan_.works[work_].power_on_s;
}

double PlantSound::powered_again_s() const {
    return work_ < plan_.works.size() ? plan_.works[work_].power_on_s
                                      : std::numeric_limits<double>::infinity();
}

void PlantSound::fill(double start_s, std::span<float> samples) {
    play(start_s, samples);
    spoil(start_s, samples);
}

void PlantSound::play(double start_s, std::span<float> samples) {
    if (!powered(start_s)) {
        std::fill(samples.begin(), samples.end(), 0.0F);
        return;
    }
    const Work& work = plan_.works[work_];
    const auto end_of = [&](const PlacedReel& placed) {
        return placed.start_s + reels_[placed.reel]->length_s();
    };
    while (reel_ < work.reels.size() && start_s >= end_of(work.reels[reel_])) ++reel_;
    if (reel_ < work.reels.size() && start_s >= work.reels[reel_].start_s) {
        const PlacedReel& placed = work.reels[reel_];
        reels_[placed.reel]->read(frame_of(start_s - placed.start_s), samples);
        return;
    }
    std::size_t at = static_cast<std::size_t>(frame_of(start_s)) % kHall;
    for (float& sample : samples) {
        sample = hall_[at];
        at = at + 1 == kHall ? 0 : at + 1;
    }
}

void PlantSound::spoil(double start_s, std::span<float> samples) const {
    while (fault_ < plan_.faults.size() && plan_.faults[fault_].end_s <= start_s) ++fault_;
    if (fault_ == plan_.faults.size() || plan_.faults[fault_].start_s > start_s) return;
    switch (plan_.faults[fault_].kind) {
        case FaultKind::kDead:
            std::fill(samples.begin(), samples.end(), 0.0F);
            break;
        case FaultKind::kClipped:
            for (float& sample : samples) sample = std::clamp(sample * 3000.0F, -1.0F, 1.0F);
            break;
        case FaultKind::kHum:
            for (std::size_t i = 0; i < samples.size(); ++i) {
                const double phase =
                    2.0 * std::numbers::pi * 60.0 * (start_s + static_cast<double>(i) / Reel::kRate_hz);
                samples[i] += static_cast<float>(0.15 * std::sin(phase) + 0.07 * std::sin(3.0 * phase));
            }
            break;
        default:
            break;
    }
}

} // namespace quietpass::soak
