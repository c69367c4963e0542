// The profiles that stood under a name before: FILE.1 the first that was replaced, FILE.2 the next, and so
// on. A number once given never changes and no kept profile is ever written over or removed.
//
// Threads: one; two programs at the same time give different numbers. Throws Failure (exit 1, one line) when
// the folder doesn't take it or there is nothing to go back to; then nothing has changed.
#pragma once

#include <filesystem>
#include <optional>
#include <vector>

namespace quietpass {

struct KeptProfile {
    int number = 0;
    std::filesystem::path file;
};

// In order of number. A folder that can't be read: none.
std::vector<KeptProfile> history_of(const std::filesystem::path& profile);

// Gives the file a second name with the next number, so that at no moment it is missing under its own.
KeptProfile keep(const std::filesystem::path& profile);

struct GoneBack {
    KeptProfile now;    // what stands under the profile's name again
    KeptProfile before; // where the one that stood there is kept
};

// Puts the profile that stood before the present one back, or the one of this number. Which one was before:
// of a present one that is itself a kept one (gone back to earlier), the number below; else the highest
// number. The present one is kept first, unless it is kept already. A file that is no profile is never put
// back.
GoneBack go_back(const std::filesystem::path& profile, std::optional<int> to = std::nullopt);

} // namespace quietpass
