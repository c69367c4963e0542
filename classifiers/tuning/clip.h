// A labelled recording as the trainer uses it: mono samples at the analysis rate and the spans in it that are
// known. Plain values.
#pragma once

#include <numbers>
#include <string>
#include <vector>

namespace quietpass::tuning {

inline constexpr double kClipRateHz = 16000.0;
inline constexpr double kTwoPi = 2 * std::numbers::pi;

enum class SpanLabel {
    kCall,   // a call of the species that counts
    kGrunt,  // a call of the species that never counts
    kOther,  // surely no call of the species
    kIgnore, // nobody can say: neither trained on nor counted
};

struct Span {
    double start_s = 0.0;
    double end_s = 0.0;
    SpanLabel label = SpanLabel::kOther;
};

struct Clip {
    std::string path;      // as in the manifest
    std::string kind;      // the manifest's class: "cattle", "speech", "metal" …
    std::string recording; // clips of one recording are never split between training and checking
    int fold = 0;
    std::vector<float> samples; // at kClipRateHz, full scale ±1
    std::vector<Span> spans;    // in order, not overlapping

    double length_s() const { return static_cast<double>(samples.size()) / kClipRateHz; }
};

} // namespace quietpass::tuning
