// Measures what tells whose call it is, on one pair of microphones: levels over the background in the bins
// where the call is, and the delay between them (dsp/delay_estimator.h).
//
// In: the same stretch of both, at the analysis rate, with at least kLeastLead samples before the call for
// the background. Allocates in the constructor and when a stretch is longer than any before. Not thread-safe.
// Costs some milliseconds a call; nothing runs between calls.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "daemon/hearing/call_origin.h"
#include "daemon/hearing/separation.h"
#include "dsp/delay_estimator.h"
#include "dsp/power_spectrum.h"

namespace quietpass {

class OriginFinder {
  public:
    static constexpr std::size_t kLeastLead = 8000; // half a second

    // low_hz … high_hz: the band of the species' calls.
    OriginFinder(const MicrophonePair& pair, double low_hz, double high_hz);

    // near and far: the same stretch, of one length; the call begins at sample `lead` and ends with the
    // stretch. Empty where nothing can be measured: the lead is too short, a microphone is silent, or the
    // call stands out at neither.
    std::optional<OriginEvidence> measure(std::span<const float> near, std::span<const float> far,
                                          std::size_t lead);

  private:
    struct Spectra {
        std::vector<double> floor; // mean power of the background, by bin
        std::vector<double> call;  // mean power during the call
    };
    void measure_spectra(std::span<const float> samples, std::size_t lead, Spectra& out);

    MicrophonePair pair_;
    std::size_t low_bin_;
    std::size_t high_bin_;
    dsp::PowerSpectrum spectrum_;
    dsp::DelayEstimator delay_;
    Spectra near_;
    Spectra far_;
    std::vector<float> power_;
    std::vector<std::vector<float>> lead_powers_; // by bin
    std::vector<float> weights_;
};

} // namespace quietpass
