// The clips of a case as files for a bundle: FLAC, picture, and a row of clips.csv. See case_files.h.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "daemon/bundles/case_files.h"
#include "daemon/records/clip_rows.h"
#include "daemon/review/findings_in_force.h"

namespace quietpass {

// shifts: rows of every shift that a clip is of.
void add_clips(CaseFiles& out, const std::vector<StoredClip>& clips,
               const std::map<std::int64_t, ShiftRows>& shifts, const std::map<CallKey, CallReview>& reviews,
               const std::filesystem::path& folder, bool masked, std::size_t most_bytes);

} // namespace quietpass
