// Synthesised noise of a plant: the background that runs on, and the single noises that stand out of it.
// Samples at kClipRateHz; levels are arbitrary, the stream sets them.
#pragma once

#include <span>
#include <vector>

#include "classifiers/tuning/clip.h"
#include "classifiers/tuning/random.h"

namespace quietpass::tuning {

// A background of tilted noise, fans, a compressor that starts and stops, hiss, a conveyor and dripping, in a
// mixture drawn from `random`, with looped stretches of `recorded` clips (may be empty) mixed in. Mean RMS
// about 1.
std::vector<float> plant_bed(std::size_t samples, std::span<const Clip* const> recorded, Random& random);

std::vector<float> synthetic_bang(Random& random);  // a gate: a burst and the ringing of its metal
std::vector<float> synthetic_air(Random& random);   // a valve lets off
std::vector<float> synthetic_shot(Random& random);  // a stunner: sharper and shorter than a bang
std::vector<float> synthetic_whine(Random& random); // a motor or hydraulic pump that changes speed
std::vector<float> synthetic_beep(Random& random);  // a reversing alarm or signal horn
std::vector<float> synthetic_drips(Random& random);

} // namespace quietpass::tuning
