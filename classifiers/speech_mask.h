// Makes what people say in a clip unintelligible and leaves the calls as they were. Offline: allocates.
//
// The safe side is taken: no detector decides what speech is. Everything outside the calls becomes noise
// whose level follows the recording's in octave bands, averaged over kMaskAverageS by a Hann window: its
// first null is at 2/kMaskAverageS Hz, so no modulation of 2 Hz or more is left, and with it no syllables, no
// pitch and no formants (speech lives on modulations of 2 to 16 Hz: Drullman, Festen and Plomp, J. Acoust.
// Soc. Am. 95 (1994) 1053, from memory). How loud it was over half a second and more can still be heard, and
// whether it was low or high. The calls' own energy is in no average.
//
// Speech over a call can't be masked without altering the call: it stays.
//
// samples: [n] of one microphone, rate_hz > 0. calls: in seconds from the first sample, in any order, may
// overlap and reach over the ends. Returns [n]: the same bits within the calls; cross-faded over kMaskFadeS
// outside of them. The same input gives the same noise. Pure; any thread.
#pragma once

#include <span>
#include <vector>

namespace quietpass {

struct CallSpan {
    double start_s = 0.0;
    double end_s = 0.0;
};

inline constexpr double kMaskAverageS = 1.25;
inline constexpr double kMaskFadeS = 0.03;

std::vector<float> with_speech_masked(std::span<const float> samples, double rate_hz,
                                      std::span<const CallSpan> calls);

} // namespace quietpass
