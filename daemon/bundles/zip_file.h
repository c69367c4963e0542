// ZIP files in memory, by libarchive: made so that the same files give the same bytes (no times, no owners),
// and read with mistrust, because a bundle comes from somebody else.
//
// Reading takes nothing to the disk. A name that leads elsewhere (a whole path, "..", a backslash), a link or
// folder entry, a name twice, too many files and too many bytes (by what comes out, not by what the file says
// of itself) are refused. Errors: Failure (exit 1), one line. Any thread.
#pragma once

#include <cstddef>
#include <filesystem>
#include <map>
#include <span>
#include <string>

#include "daemon/records/files.h"

namespace quietpass {

// In the order given. Text is deflated; FLAC, PNG and PDF are stored as they are.
std::string zip_of(std::span<const NamedBytes> files);

struct ZipLimits {
    std::size_t files = 20'000;
    std::size_t bytes = std::size_t{1} << 30; // of all files together
};

std::map<std::string, std::string> files_of_zip(const std::filesystem::path& file,
                                                const ZipLimits& limits = {});

} // namespace quietpass
