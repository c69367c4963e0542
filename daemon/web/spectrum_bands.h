// The bands of the live page's running spectrogram, and its levels.
//
// Triangles of peak 1 that add up to 1, evenly spaced in mel from 50 Hz to 8 kHz (dsp/filter_bank.h). A level
// is whole dB re a sine at full scale, kNoLevel_db and up: of nothing, and of bands above half the rate.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

namespace quietpass {

inline constexpr std::size_t kSpectrumBands = 64;
inline constexpr double kLowestBand_hz = 50.0;
inline constexpr double kHighestBand_hz = 8000.0;
inline constexpr int kNoLevel_db = -127;
inline constexpr double kColumn_s = 0.2;

using BandLevels = std::array<std::int8_t, kSpectrumBands>;

std::vector<double> spectrum_centres_hz(); // [kSpectrumBands]

} // namespace quietpass
