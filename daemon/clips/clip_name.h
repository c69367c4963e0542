// What a clip's file is called, and what it says of itself. Pure.
#pragma once

#include <optional>
#include <string>

#include "daemon/clips/clip_flac.h"
#include "daemon/records/clip_rows.h"

namespace quietpass {

// What stands in each clip.
struct ClipOrigin {
    std::string station;
    std::vector<std::string> microphones; // of the channels
    std::string software;
    std::string configuration; // SHA-256 of the station file
};

// Within the records' folder: "clips/2026/03/02/20260302T130501_234Z_call_17.flac" with the clip's id;
// "clips/undated/call_17.flac" without a date.
std::string clip_file_name(const ClipRow& row);

// The moment in such a name, to the second; nothing for any other.
std::optional<std::int64_t> utc_ns_of_clip_name(const std::string& name);

// lost: as lost_words().
ClipTags clip_tags(const ClipRow& row, const ClipOrigin& origin, const std::string& lost);

} // namespace quietpass
