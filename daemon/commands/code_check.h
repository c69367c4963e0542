// Whether the code on a paper report is the station's, and whether the store still has that record as it was
// then. Throws Failure: exit 2 for what is no code, 1 for one that doesn't fit, with what that means.
#pragma once

#include <filesystem>
#include <string>

namespace quietpass {

// store: empty to check the signature alone, by the public key. Returns what to tell.
std::string check_code(const std::string& code, const std::filesystem::path& store,
                       const std::string& public_key);

} // namespace quietpass
