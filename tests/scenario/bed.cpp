#include "tests/scenario/bed.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

namespace quietpass::scenario {

namespace {

constexpr double kProbe_s = 20.0;
constexpr double kSwayTau_s = 6.0;
constexpr double kClipsAhead_s = 0.173; // longer than any way between two microphones
constexpr std::size_t kMostClips = 8;

double rms_of(BedPart& part, double rate_hz) {
    std::array<float, BedPart::kTick> tick{};
    const std::size_t ticks = static_cast<std::size_t>(kProbe_s * rate_hz) / tick.size();
    double sum = 0.0;
    for (std::size_t i = 0; i < ticks; ++i) {
        tick.fill(0.0F);
        part.add(tick, 1.0F);
        for (const float sample : tick) sum += static_cast<double>(sample) * static_cast<double>(sample);
    }
    return std::sqrt(sum / static_cast<double>(ticks * tick.size()) + 1e-20);
}

std::shared_ptr<std::vector<std::vector<float>>> clips_of(const Scenario& scenario, RecordingShelf& shelf) {
    // The same clips for every microphone: drawn from a shelf of our own, so that no other draw moves.
    Random random(scenario.seed, "bed clips");
    RecordingShelf own(scenario);
    auto clips = std::make_shared<std::vector<std::vector<float>>>();
    const std::size_t wanted = std::min(kMostClips, shelf.recordings(scenario.bed.clips_class).size());
    for (std::size_t i = 0; i < std::max<std::size_t>(wanted, 1); ++i) {
        const Clip& clip = own.draw(scenario.bed.clips_class, random);
        const ClipPart whole{0.0, static_cast<double>(clip.samples.size()) / clip.sample_rate_hz};
        std::vector<float> samples = part_at_rate(clip, whole, scenario.sample_rate_hz);
        const std::vector<float> once = samples;
        while (samples.size() < 2 * static_cast<std::size_t>(scenario.sample_rate_hz)) {
            samples.insert(samples.end(), once.begin(), once.end());
        }
        double sum = 1e-12;
        for (const float sample : samples) sum += static_cast<double>(sample * sample);
        const float gain = static_cast<float>(std::sqrt(static_cast<double>(samples.size()) / sum));
        for (float& sample : samples) sample *= gain;
        clips->push_back(std::move(samples));
    }
    return clips;
}

} // namespace

Bed::Bed(const Scenario& scenario, std::size_t microphone, RecordingShelf& shelf,
         const std::vector<Span>& stops)
    : sway_db_(scenario.bed.sway_db) {
    const BedSettings& bed = scenario.bed;
    const double rate = scenario.sample_rate_hz;
    double power = 0.0;
    const auto take = [&](const std::string& name, double level_db, double share_of_time,
                          const std::function<std::unique_ptr<BedPart>(const PartSeeds&)>& make) {
        if (level_db <= -120.0) return;
        const PartSeeds seeds{Random(scenario.seed, "bed " + name),
                              Random(scenario.seed, "bed " + name + " at " + std::to_string(microphone))};
        const double loud = std::pow(10.0, level_db / 20.0);
        const double gain = loud / rms_of(*make(seeds), rate);
        power += loud * loud * share_of_time;
        voices_.push_back({make(seeds), gain,
                           Wander(Random(scenario.seed, "sway " + name), BedPart::kTick / rate, kSwayTau_s)});
    };
    take("room", bed.room_db, 1.0, [](const PartSeeds& s) { return make_room_noise(s); });
    take("hiss", bed.hiss_db, 1.0, [&](const PartSeeds& s) { return make_hiss(s, rate); });
    for (std::size_t i = 0; i < bed.fans.size(); ++i) {
        take("fan " + std::to_string(i), bed.fans[i].level_db, 1.0,
             [&](const PartSeeds& s) { return make_fan(s, rate, bed.fans[i].tone_hz); });
    }
    // Measured while it is on: for the probe it never goes off.
    take("hum", bed.hum_db, bed.hum_on_s / (bed.hum_on_s + bed.hum_off_s),
         [&, probe = true](const PartSeeds& s) mutable {
             const double off_s = probe ? 0.0 : bed.hum_off_s;
             probe = false;
             return make_hum(s, rate, bed.hum_hz, bed.hum_on_s, off_s);
         });
    take("rattle", bed.rattle_db, 1.0, [&, probe = true](const PartSeeds& s) mutable {
        const std::vector<Span> never;
        const bool first = probe;
        probe = false;
        return make_rattle(s, rate, bed.rattle_hz, first ? never : stops);
    });
    take("drips", bed.drips_db, 1.0,
         [&](const PartSeeds& s) { return make_drips(s, rate, bed.drips_per_minute); });
    if (bed.clips_db > kOff) {
        const auto clips = clips_of(scenario, shelf);
        take("clips", bed.clips_db, 1.0, [&](const PartSeeds& s) {
            return make_clip_bed(s, rate, clips, kClipsAhead_s * static_cast<double>(microphone));
        });
    }
    if (power <= 0.0) return;
    const double scale = std::pow(10.0, bed.level_db / 20.0) / std::sqrt(power);
    for (Voice& voice : voices_) voice.gain *= scale;
}

void Bed::make(std::span<float> out) noexcept {
    std::fill(out.begin(), out.end(), 0.0F);
    for (std::size_t at = 0; at < out.size(); at += BedPart::kTick) {
        const std::span<float> tick = out.subspan(at, std::min(BedPart::kTick, out.size() - at));
        for (Voice& voice : voices_) {
            // exp(x · ln 10 / 20): a decibel as a factor.
            const double sway = std::exp(0.11512925464970229 * sway_db_ * voice.sway.next());
            voice.part->add(tick, static_cast<float>(voice.gain * sway));
        }
    }
}

} // namespace quietpass::scenario
