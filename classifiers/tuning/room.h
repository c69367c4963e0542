// What a room, a distance and a bad microphone do to a sound, in place of measured responses. Samples at
// kClipRateHz.
#pragma once

#include <vector>

#include "classifiers/tuning/random.h"

namespace quietpass::tuning {

// Adds a reverberant tail of velvet noise (sparse ±1 pulses under an exponential decay; Karjalainen &
// Järveläinen, Reverberation modeling using velvet noise, AES 30th conference 2007). decay_s: time to −60 dB.
// direct_db: the direct sound's energy over the tail's. The result is longer by the audible part of the tail.
std::vector<float> in_room(const std::vector<float>& dry, double decay_s, double direct_db, Random& random);

// Played `ratio` times as fast (0.5 … 2), so with another pitch and length; cubic interpolation.
std::vector<float> at_speed(const std::vector<float>& samples, double ratio);

// As another microphone or another throat would colour it: one broad hump or dip and a tilt.
void coloured(std::vector<float>& samples, Random& random);

// Low-passed as by distance and corners, second order.
void from_afar(std::vector<float>& samples, double low_pass_hz);

// Cut off at this share (0 … 1) of the highest sample, as an overdriven input does.
void clipped_at(std::vector<float>& samples, double share);

double rms_of(const float* samples, std::size_t count);

} // namespace quietpass::tuning
