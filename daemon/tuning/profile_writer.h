// Puts a new profile or report in place so that a reader finds the old one or the new one, never a part:
// written aside, synced, renamed. With keep_old what was there stays beside it (profile_history.h).
//
// Throws Failure (exit 1) when the folder or the disk doesn't take it; then nothing has changed.
#pragma once

#include <filesystem>
#include <string>

namespace quietpass {

void write_whole(const std::filesystem::path& file, const std::string& text, bool keep_old);

} // namespace quietpass
