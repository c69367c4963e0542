// The signals of golden/make_golden.py, made again from their formulas, at 16 kHz.
#pragma once

#include <string>
#include <vector>

namespace quietpass::golden {

// "tone", "harmonics", "noise", "chirp", "click": 1,280 samples.
std::vector<float> spectral_signal(const std::string& name);

// "low_call", "moo", "calf", "noisy_moo", "bugle", "squeal", "high_squeal": one second.
std::vector<float> pitch_signal(const std::string& name);

} // namespace quietpass::golden
