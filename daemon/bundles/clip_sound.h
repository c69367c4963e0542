// The sound of a clip, whole in memory, with its samples as they lie in the file: what is not masked comes
// out of it again bit for bit.
//
// samples: [frames][channels], integers of 32 bits whose upper bits the file has. Errors: Failure (exit 1)
// for a file that can't be read or written. Any thread.
#pragma once

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "classifiers/speech_mask.h"

namespace quietpass {

struct ClipSound {
    double rate_hz = 0.0;
    int channels = 0;
    int format = 0; // libsndfile's, of the file
    std::vector<std::int32_t> samples;
    std::vector<std::pair<int, std::string>> tags; // libsndfile's number and text

    std::size_t frames() const {
        return channels > 0 ? samples.size() / static_cast<std::size_t>(channels) : 0;
    }
    double seconds() const { return static_cast<double>(frames()) / rate_hz; }
    std::vector<float> channel(int number) const; // full scale 1
};

ClipSound read_clip(const std::filesystem::path& file);

// Masks each microphone (speech_mask.h).
void mask_speech(ClipSound& sound, std::span<const CallSpan> calls);

// The bytes of a FLAC of these samples and tags.
std::string flac_of(const ClipSound& sound);

} // namespace quietpass
