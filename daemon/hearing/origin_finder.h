// Measures what tells whose call it is, on one pair of microphones: levels over the background and the delay
// between them (dsp/delay_estimator.h).
//
// Both are taken where the call is: in the frames that have a pitch near the call's, in the bins of that
// pitch's harmonics; the level is the median over those frames. So a bang or a clang beside the call, on
// whichever side of the race, hardly counts. Where no pitch is found, in all frames and bins that stand out.
//
// In: the same stretch of both, at the analysis rate, with at least kLeastLead samples before the call for
// the background. Allocates in the constructor and when a stretch is longer than any before. Not thread-safe.
// Costs some milliseconds a call; nothing runs between calls.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "daemon/hearing/call_origin.h"
#include "daemon/hearing/separation.h"
#include "dsp/analysis.h"
#include "dsp/delay_estimator.h"
#include "dsp/pitch.h"
#include "dsp/pitch_path.h"
#include "dsp/power_spectrum.h"

namespace quietpass {

class OriginFinder {
  public:
    static constexpr std::size_t kLeastLead = 8000; // half a second

    // low_hz … high_hz: the band of the species' calls.
    OriginFinder(const MicrophonePair& pair, double low_hz, double high_hz);

    enum class HeardAt { kEither, kNear, kFar };

    // near and far: the same stretch, of one length; the call begins at sample `lead` and ends with the
    // stretch. It was found at one of them, with the median pitch f0_hz (0: none or not known). Empty where
    // nothing can be measured: the lead is too short, a microphone is silent, or the call stands out at
    // neither.
    std::optional<OriginEvidence> measure(std::span<const float> near, std::span<const float> far,
                                          std::size_t lead, HeardAt heard_at = HeardAt::kEither,
                                          double f0_hz = 0.0);

  private:
    // One microphone's view.
    struct View {
        std::vector<float> floor;           // [kBins] mean power of the background
        std::vector<float> powers;          // [frames of the call][kBins]
        std::vector<dsp::PitchPoint> pitch; // [frames of the call]
        double voiced = 0.0;                // sum of the strength of the pitches that are the call's
        const float* frame(std::size_t index) const { return powers.data() + index * dsp::kBins; }
    };
    void look(std::span<const float> samples, std::size_t lead, double f0_hz, View& out);
    void mark_harmonics(const View& view);
    void mark_what_stands_out();
    bool weigh_levels(OriginEvidence& evidence);
    void weigh_delay(std::span<const float> near, std::span<const float> far, OriginEvidence& evidence);

    MicrophonePair pair_;
    std::size_t low_bin_;
    std::size_t high_bin_;
    dsp::PowerSpectrum spectrum_;
    dsp::PitchEstimator pitch_;
    dsp::PitchPath path_;
    dsp::DelayEstimator delay_;
    View near_;
    View far_;
    std::size_t frames_ = 0; // of the call
    std::vector<float> power_;
    std::vector<std::vector<float>> lead_powers_; // by bin
    std::vector<dsp::PitchFrame> candidates_;
    std::vector<std::uint8_t> cells_; // [frames][kBins] 1 where the call is
    std::vector<float> weights_;
    std::vector<double> louder_db_; // by frame
    std::vector<double> near_clear_db_;
    std::vector<double> far_clear_db_;
};

} // namespace quietpass
