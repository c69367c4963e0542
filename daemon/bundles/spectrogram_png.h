// The picture of a clip for who has no program to look at sound: frequency over time in greys that print in
// black and white, axes with units, the calls marked, what is masked said.
//
// channels: [microphones][samples], full scale 1, all as long; one panel each, below one another, 0 Hz to
// 8 kHz or half the rate. Levels are dB below the loudest point of the picture, to 70 below. Calls are
// seconds from the first sample. Out: the bytes of a PNG. Errors: Failure (exit 1) when it can't be drawn.
// Any thread.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "classifiers/speech_mask.h"

namespace quietpass {

struct SpectrogramOf {
    std::string title;                    // one line
    std::vector<std::string> microphones; // their names, one a channel
    double rate_hz = 0.0;
    std::vector<CallSpan> calls;
    bool masked = false;
};

std::string spectrogram_png(const SpectrogramOf& what, std::span<const std::vector<float>> channels);

} // namespace quietpass
