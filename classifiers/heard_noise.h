// A sound that one microphone's Ear judged to be no call but a bang or a hiss: what frightens animals, or
// what one makes that fights its holder. A plain value. Times are seconds of that microphone's sample clock.
#pragma once

#include <optional>
#include <string_view>

namespace quietpass {

enum class NoiseKind { kBang, kHiss };

std::string_view name_of(NoiseKind kind); // "bang", "hiss"
std::optional<NoiseKind> noise_from(std::string_view word);

struct HeardNoise {
    double start_s = 0.0; // of a bang its loudest moment, and end_s with it
    double end_s = 0.0;
    NoiseKind kind = NoiseKind::kBang;
    double level_db = 0.0; // highest F-weighted level in the species' band, dB re full scale until calibrated
};

} // namespace quietpass
