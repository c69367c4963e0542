// Computes all measures of one sound from the frames that hold it and their surroundings.
//
// Spectra are taken against the floor as it was when the sound began. Allocates in the constructor only;
// process() is noexcept. Not thread-safe. Sounds longer than kMaxFrames are measured on their first
// SoundFrames::kMaxFrames.
#pragma once

#include <array>
#include <memory>

#include "classifiers/frame_history.h"
#include "classifiers/impacts.h"
#include "classifiers/measures.h"
#include "classifiers/span_tracker.h"

namespace quietpass {

class SoundMeasures {
  public:
    // low_hz … high_hz: the species' band, for level_db; f0_…: the range of its voice.
    SoundMeasures(double low_hz, double high_hz, double f0_low_hz = 50.0, double f0_high_hz = 2500.0);
    ~SoundMeasures();
    SoundMeasures(SoundMeasures&&) noexcept;
    SoundMeasures& operator=(SoundMeasures&&) noexcept;

    struct Result {
        MeasureRow measures{};
        Span voice;            // frames that hold the voice; none: last before first
        float level_db = 0.0F; // highest F-weighted level in the species' band, dB re full scale
        Impacts impacts;
    };

    // history.oldest() <= span.first <= span.last < history.count().
    void process(const FrameHistory& history, const Span& span, Result& result) noexcept;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
