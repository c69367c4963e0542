#include "classifiers/sound_measures.h"

#include <algorithm>
#include <cmath>

#include "classifiers/level_measures.h"
#include "classifiers/rhythm.h"
#include "classifiers/shape_measures.h"
#include "classifiers/sound_frames.h"
#include "classifiers/voice_measures.h"
#include "dsp/modulation.h"

namespace quietpass {

struct SoundMeasures::Parts {
    Parts(double low_hz, double high_hz, double f0_low_hz, double f0_high_hz)
        : voice(f0_low_hz, f0_high_hz),
          species_band(dsp::bins_between(low_hz, high_hz, dsp::kBinHz, dsp::kBins)) {}

    void rhythm(MeasureRow& row) noexcept;

    VoiceMeasures voice;
    dsp::BinRange species_band;
    SoundFrames frames;
    LevelMeasures level;
    ShapeMeasures shape;
    dsp::ModulationSpectrum modulation;
};

SoundMeasures::SoundMeasures(double low_hz, double high_hz, double f0_low_hz, double f0_high_hz)
    : parts_(std::make_unique<Parts>(low_hz, high_hz, f0_low_hz, f0_high_hz)) {}
SoundMeasures::~SoundMeasures() = default;
SoundMeasures::SoundMeasures(SoundMeasures&&) noexcept = default;
SoundMeasures& SoundMeasures::operator=(SoundMeasures&&) noexcept = default;

void SoundMeasures::process(const FrameHistory& history, const Span& span, Result& result) noexcept {
    Parts& p = *parts_;
    MeasureRow& row = result.measures;
    row.fill(0.0F);
    p.frames.load(history, span);
    result.level_db = fast_level_db(p.frames, p.species_band);
    find_impacts(p.frames, p.species_band, result.impacts);
    p.level.process(p.frames, row);
    p.shape.process(p.frames, row);
    const VoiceMeasures::Stretch voice = p.voice.process(p.frames, row);
    result.voice.first = span.first + static_cast<FrameIndex>(voice.first);
    result.voice.last = result.voice.first + static_cast<FrameIndex>(voice.count) - 1;
    p.rhythm(row);
    for (float& value : row) {
        if (!std::isfinite(value)) value = 0.0F;
    }
}

void SoundMeasures::Parts::rhythm(MeasureRow& row) noexcept {
    const auto around = frames.around_db();
    modulation.process(around);
    row[kMod2] = static_cast<float>(modulation.share(2.0, 4.0));
    row[kMod3] = static_cast<float>(modulation.share(3.0, 6.0));
    row[kMod6] = static_cast<float>(modulation.share(6.0, 12.0));
    row[kMod12] = static_cast<float>(modulation.share(12.0, 25.0));
    row[kModDepthDb] = static_cast<float>(modulation_depth_db(frames.level_db()));
    const Repetition repetition = repetition_of(around);
    row[kRepeat] = static_cast<float>(repetition.strength);
    row[kRepeatS] = static_cast<float>(repetition.period_s);
}

} // namespace quietpass
