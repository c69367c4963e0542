// Sounds of a plant made from nothing, for scenarios without recordings of them: "bang" (a gate), "clang"
// (struck metal), "air" (a valve that vents), "shot" (a captive bolt), "horn". Each seed gives another one.
// Mono, peak 1.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace quietpass::scenario {

// Seconds in which it is active.
double made_length_s(const std::string& made, std::uint64_t seed);

std::vector<float> make_sound(const std::string& made, std::uint64_t seed, int sample_rate_hz);

// Which made sound stands in for a class of recordings; throws Failure (exit 2) where none can.
std::string made_instead_of(const std::string& recordings_class);

} // namespace quietpass::scenario
