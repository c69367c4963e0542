#include "tests/scenario/sound_path.h"

#include <array>
#include <cmath>

namespace quietpass::scenario {

namespace {

constexpr double kPreDelay_s = 0.006;
constexpr double kRingOut_s = 0.03; // of the filters, without reverberation

double energy_of(std::span<const float> samples) {
    double sum = 0.0;
    for (const float sample : samples) sum += static_cast<double>(sample) * static_cast<double>(sample);
    return sum;
}

// Adds a comb's output: y[n] = x[n] + g·y[n-d], the fed-back part dulled as walls and bodies dull it.
void comb(std::span<const float> in, std::vector<float>& out, std::size_t delay, double g) {
    std::vector<float> line(delay, 0.0F);
    double dull = 0.0;
    for (std::size_t i = 0; i < out.size(); ++i) {
        float& slot = line[i % delay];
        const double back = static_cast<double>(slot);
        dull = 0.3 * dull + 0.7 * back;
        out[i] += slot;
        slot = static_cast<float>((i < in.size() ? static_cast<double>(in[i]) : 0.0) + g * dull);
    }
}

void all_pass(std::vector<float>& samples, std::size_t delay) {
    constexpr float kGain = 0.7F;
    std::vector<float> line(delay, 0.0F);
    for (std::size_t i = 0; i < samples.size(); ++i) {
        float& slot = line[i % delay];
        const float in = samples[i] + kGain * slot;
        samples[i] = slot - kGain * in;
        slot = in;
    }
}

std::vector<float> reverberated(std::span<const float> sound, std::size_t length, double rt60_s,
                                std::size_t place, double rate_hz) {
    constexpr std::array kCombs_s = {0.0297, 0.0371, 0.0411, 0.0437};
    const double size = 1.0 + 0.07 * static_cast<double>(place);
    const std::size_t before = static_cast<std::size_t>(kPreDelay_s * rate_hz);
    std::vector<float> wet(length > before ? length - before : 0, 0.0F);
    for (const double comb_s : kCombs_s) {
        const double delay_s = comb_s * size;
        comb(sound, wet, static_cast<std::size_t>(delay_s * rate_hz),
             std::pow(10.0, -3.0 * delay_s / rt60_s));
    }
    all_pass(wet, static_cast<std::size_t>(0.0050 * size * rate_hz) + 1);
    all_pass(wet, static_cast<std::size_t>(0.0017 * size * rate_hz) + 1);
    wet.insert(wet.begin(), before, 0.0F);
    wet.resize(length);
    return wet;
}

} // namespace

MicrophoneResponse::MicrophoneResponse(const MicrophoneScene& m, double rate_hz)
    : gain_(std::pow(10.0, m.gain_db / 20.0)) {
    constexpr double kFlat = 0.70710678;
    sections_.push_back(Biquad::high_pass(rate_hz, m.low_cut_hz, kFlat));
    if (m.high_cut_hz < 0.45 * rate_hz) sections_.push_back(Biquad::low_pass(rate_hz, m.high_cut_hz, kFlat));
    if (m.peak_db != 0.0) sections_.push_back(Biquad::peak(rate_hz, m.peak_hz, 1.0, m.peak_db));
}

void MicrophoneResponse::apply(std::span<float> samples) noexcept {
    for (float& sample : samples) {
        double value = static_cast<double>(sample) * gain_;
        for (Biquad& section : sections_) value = section.process(value);
        sample = static_cast<float>(value);
    }
}

double distance_m(const MicrophoneScene& microphone, const Cue& cue) {
    if (microphone.up_race_m && cue.place_m) {
        return std::hypot(*cue.place_m - *microphone.up_race_m, microphone.off_race_m);
    }
    return cue.kind == CueKind::kWaiting ? microphone.race_distance_m : microphone.distance_m;
}

double wet_db(const Scenario& scenario, const Cue& cue) {
    const RoomSettings& room = scenario.room;
    if (cue.place_m && cue.kind != CueKind::kDisturbance) {
        const MicrophoneScene& first = scenario.microphones.front();
        return room.near_wet_db + 20.0 * std::log10(distance_m(first, cue) / first.distance_m);
    }
    return cue.kind == CueKind::kWaiting ? room.far_wet_db : room.near_wet_db;
}

std::vector<float> arrive(std::span<const float> sound, const PathSettings& path, std::size_t place,
                          const MicrophoneScene& microphone, double rate_hz) {
    std::vector<float> source(sound.begin(), sound.end());
    if (path.low_pass_hz > 0.0) {
        Biquad dull = Biquad::low_pass(rate_hz, path.low_pass_hz, 0.70710678);
        for (float& sample : source) sample = static_cast<float>(dull.process(static_cast<double>(sample)));
    }
    const bool is_wet = path.wet_db > -60.0;
    const double tail_s = kRingOut_s + (is_wet ? path.rt60_s : 0.0);
    const std::size_t length = source.size() + static_cast<std::size_t>(tail_s * rate_hz);
    std::vector<float> out(length, 0.0F);
    for (std::size_t i = 0; i < source.size(); ++i) out[i] = static_cast<float>(path.direct_gain) * source[i];
    if (is_wet) {
        const std::vector<float> wet = reverberated(source, length, path.rt60_s, place, rate_hz);
        const double ratio = energy_of(source) / (energy_of(wet) + 1e-20);
        const float gain = static_cast<float>(std::sqrt(ratio * std::pow(10.0, path.wet_db / 10.0)));
        for (std::size_t i = 0; i < length; ++i) out[i] += gain * wet[i];
    }
    MicrophoneResponse(microphone, rate_hz).apply(out);
    return out;
}

} // namespace quietpass::scenario
