// Audio as a plant gives it, made from a scenario of testdata and its recordings: a cattle box at 80 an hour,
// every fifth animal vocal, with bangs, air, voices and horns in their places, and the same background by
// itself. 48 kHz, mono, full scale ±1. Throws Failure.
#pragma once

#include <vector>

namespace quietpass::bench {

struct PlantAudio {
    std::vector<float> shift; // background, calls and disturbances
    std::vector<float> bed;   // the background alone, as long
};

PlantAudio make_plant_audio();

} // namespace quietpass::bench
