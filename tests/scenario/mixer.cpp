#include "tests/scenario/mixer.h"

#include <algorithm>
#include <cmath>

#include "tests/scenario/made_sound.h"

namespace quietpass::scenario {

namespace {

constexpr double kBlock_s = 2.0;
constexpr double kEarly_s = 0.5; // a microphone nearer than the first hears a sound this much earlier at most
constexpr double kLongestSound_s = 7.0; // clips' parts end at 6 s
constexpr double kLongestTail_s = 6.0;
constexpr double kFar_m = 6.0;
constexpr std::size_t kRing_ms = 16384;

} // namespace

Mixer::Channel::Channel(const Scenario& scenario, std::size_t number, RecordingShelf& shelf,
                        const Timeline& timeline)
    : source(scenario, number, shelf, timeline.stops),
      response(scenario.microphones[number], scenario.sample_rate_hz),
      self_noise(Random(scenario.seed, "self noise " + std::to_string(number)).bits()),
      self_gain(static_cast<float>(std::pow(10.0, scenario.microphones[number].self_noise_db / 20.0))) {}

Mixer::Mixer(const Scenario& scenario, const Timeline& timeline, RecordingShelf& shelf)
    : scenario_(scenario),
      timeline_(timeline),
      rate_hz_(scenario.sample_rate_hz),
      length_(std::llround(timeline.length_s * rate_hz_)),
      block_(static_cast<std::size_t>(kBlock_s * rate_hz_)),
      ahead_(static_cast<std::size_t>((kBlock_s + kEarly_s + kLongestSound_s) * rate_hz_)),
      band_(rate_hz_, scenario.snr_low_hz, scenario.snr_high_hz),
      power_ms_(kRing_ms, 0.0) {
    const std::size_t room = ahead_ + 2 * block_ + static_cast<std::size_t>(kLongestTail_s * rate_hz_);
    channels_.reserve(scenario.microphones.size());
    for (std::size_t m = 0; m < scenario.microphones.size(); ++m) {
        channels_.emplace_back(scenario, m, shelf, timeline);
        Channel& channel = channels_.back();
        for (std::vector<float>* buffer : {&channel.bed, &channel.calls, &channel.others})
            buffer->assign(room, 0.0F);
        channel.mixed.assign(block_, 0.0F);
    }
    extend_beds();
}

void Mixer::extend_beds() {
    while (bed_made_ < first_ + static_cast<std::int64_t>(ahead_)) {
        const std::size_t at = static_cast<std::size_t>(bed_made_ - first_);
        for (std::size_t m = 0; m < channels_.size(); ++m) {
            Channel& channel = channels_[m];
            const std::span<float> fresh = std::span(channel.bed).subspan(at, block_);
            channel.source.make(fresh);
            channel.response.apply(fresh);
            for (float& sample : fresh) sample += channel.self_gain * channel.self_noise.next();
            if (m != 0) continue;
            const std::int64_t rate = scenario_.sample_rate_hz;
            std::int64_t ms = -1;
            std::int64_t ms_end = bed_made_;
            double* slot = nullptr;
            for (std::size_t i = 0; i < block_; ++i) {
                const std::int64_t index = bed_made_ + static_cast<std::int64_t>(i);
                if (index >= ms_end || slot == nullptr) {
                    ms = index * 1000 / rate;
                    ms_end = ((ms + 1) * rate + 999) / 1000;
                    slot = &power_ms_[static_cast<std::size_t>(ms) % kRing_ms];
                    if (index == (ms * rate + 999) / 1000)
                        *slot = 0.0; // else its first samples came a block ago
                }
                const double y = band_.process(static_cast<double>(fresh[i]));
                *slot += y * y;
            }
        }
        bed_made_ += static_cast<std::int64_t>(block_);
    }
}

double Mixer::bed_power(double start_s, double end_s) const {
    const std::int64_t first = std::llround(start_s * 1000.0);
    const std::int64_t last = std::max(first + 1, static_cast<std::int64_t>(std::llround(end_s * 1000.0)));
    double sum = 0.0;
    for (std::int64_t ms = first; ms < last; ++ms) sum += power_ms_[static_cast<std::size_t>(ms) % kRing_ms];
    return sum / (static_cast<double>(last - first) * rate_hz_ / 1000.0);
}

std::vector<float> Mixer::sound_of(const Cue& cue) const {
    if (cue.clip == nullptr) return make_sound(cue.sound_class, cue.made_seed, scenario_.sample_rate_hz);
    return part_at_rate(*cue.clip, cue.part, scenario_.sample_rate_hz);
}

PathSettings Mixer::path_of(const Cue& cue, std::size_t microphone) const {
    const MicrophoneScene& first = scenario_.microphones.front();
    const MicrophoneScene& here = scenario_.microphones[microphone];
    PathSettings path;
    path.rt60_s = scenario_.room.rt60_s;
    path.wet_db = wet_db(scenario_, cue);
    if (cue.kind == CueKind::kDisturbance) {
        if (cue.distance_m > kFar_m) path.wet_db = scenario_.room.far_wet_db;
        if (!cue.place_m) return path;
    }
    path.direct_gain = distance_m(first, cue) / distance_m(here, cue);
    if (cue.kind == CueKind::kWaiting) path.low_pass_hz = scenario_.waiting.low_pass_hz;
    return path;
}

double Mixer::gain_of(const Cue& cue, std::span<const float> on_first) const {
    if (cue.kind != CueKind::kDisturbance) {
        const std::size_t active =
            std::min(on_first.size(), static_cast<std::size_t>((cue.end_s - cue.start_s) * rate_hz_));
        BandFilter band(rate_hz_, scenario_.snr_low_hz, scenario_.snr_high_hz);
        const double power =
            band.energy(on_first.first(active)) / static_cast<double>(std::max<std::size_t>(active, 1));
        return std::sqrt(bed_power(cue.start_s, cue.end_s) * std::pow(10.0, cue.level_db / 10.0) /
                         (power + 1e-20));
    }
    const std::size_t window = static_cast<std::size_t>(0.125 * rate_hz_);
    double sum = 0.0;
    double loudest = 1e-20;
    for (std::size_t i = 0; i < on_first.size(); ++i) {
        sum += static_cast<double>(on_first[i]) * static_cast<double>(on_first[i]);
        if (i >= window) {
            const double gone = static_cast<double>(on_first[i - window]);
            sum -= gone * gone;
        }
        loudest = std::max(loudest, sum / static_cast<double>(window));
    }
    const double wanted_db = scenario_.bed.level_db + scenario_.microphones.front().gain_db + cue.level_db;
    return std::sqrt(std::pow(10.0, wanted_db / 10.0) / loudest);
}

void Mixer::mix_in(const Cue& cue) {
    const std::vector<float> sound = sound_of(cue);
    double gain = 1.0;
    for (std::size_t m = 0; m < channels_.size(); ++m) {
        const MicrophoneScene& here = scenario_.microphones[m];
        const std::vector<float> arrived = arrive(sound, path_of(cue, m), m, here, rate_hz_);
        if (m == 0) gain = gain_of(cue, arrived);
        const MicrophoneScene& first = scenario_.microphones.front();
        const double farther_m = cue.kind == CueKind::kDisturbance && !cue.place_m
                                     ? 0.0
                                     : distance_m(here, cue) - distance_m(first, cue);
        const std::int64_t start =
            std::llround((cue.start_s + farther_m / kSpeedOfSound_m_s) * rate_hz_) - first_;
        std::vector<float>& into =
            cue.kind == CueKind::kDisturbance ? channels_[m].others : channels_[m].calls;
        for (std::size_t i = 0; i < arrived.size(); ++i) {
            const std::int64_t at = start + static_cast<std::int64_t>(i);
            if (at < 0 || at >= static_cast<std::int64_t>(into.size())) continue;
            into[static_cast<std::size_t>(at)] += static_cast<float>(gain) * arrived[i];
        }
    }
}

bool Mixer::next() {
    if (out_count_ != 0) {
        first_ += static_cast<std::int64_t>(block_);
        for (Channel& channel : channels_) {
            for (std::vector<float>* buffer : {&channel.bed, &channel.calls, &channel.others}) {
                std::copy(buffer->begin() + static_cast<std::ptrdiff_t>(block_), buffer->end(),
                          buffer->begin());
                std::fill(buffer->end() - static_cast<std::ptrdiff_t>(block_), buffer->end(), 0.0F);
            }
        }
        extend_beds();
    }
    if (first_ >= length_) return false;
    out_count_ =
        static_cast<std::size_t>(std::min<std::int64_t>(static_cast<std::int64_t>(block_), length_ - first_));
    const double until_s = static_cast<double>(first_) / rate_hz_ + kBlock_s + kEarly_s;
    while (next_cue_ < timeline_.cues.size() && timeline_.cues[next_cue_].start_s < until_s) {
        mix_in(timeline_.cues[next_cue_++]);
    }
    for (Channel& channel : channels_) {
        for (std::size_t i = 0; i < out_count_; ++i) {
            channel.mixed[i] = channel.bed[i] + channel.calls[i] + channel.others[i];
        }
    }
    return true;
}

std::span<const float> Mixer::mixed(std::size_t m) const {
    return std::span(channels_[m].mixed).first(out_count_);
}

std::span<const float> Mixer::bed(std::size_t m) const {
    return std::span(channels_[m].bed).first(out_count_);
}

std::span<const float> Mixer::calls(std::size_t m) const {
    return std::span(channels_[m].calls).first(out_count_);
}

} // namespace quietpass::scenario
