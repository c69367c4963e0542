// A cut of the station's sound as a FLAC file in memory: one channel a microphone, at the first one's rate,
// 16 or 24 bit. What was lost is silence. Samples that came from a device or file of no more bits are in it
// bit for bit; microphones of another rate are resampled to the first one's.
//
// Errors: std::runtime_error when libsndfile refuses (more than kMostChannels, a rate it can't hold). Any
// thread.
#pragma once

#include <string>

#include "daemon/clips/sound_cut.h"

namespace quietpass {

inline constexpr std::size_t kMostChannels = 8; // of a FLAC file

// Vorbis comments of the file.
struct ClipTags {
    std::string title;    // TITLE: "call 17 of passage 12"
    std::string station;  // ARTIST
    std::string software; // ENCODER
    std::string date;     // DATE: UTC of the first sample; empty when unknown
    std::string comment;  // DESCRIPTION: the rest, as "key=value; key=value"
};

std::string flac_of(const SoundCut& cut, int bits, const ClipTags& tags);

// Where something is missing, as "head 0.500-0.750"; of the clip's own seconds; empty when nothing is.
std::string lost_words(const SoundCut& cut, const std::vector<std::string>& microphones);

} // namespace quietpass
