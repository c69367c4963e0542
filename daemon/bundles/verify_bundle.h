// `quietpass verify --bundle`: what a check of a handed-over case says, in words. Errors: Failure (exit 1)
// for what doesn't fit and for what is no bundle. Any thread.
#pragma once

#include <string>

namespace quietpass {

// shown: the name that the words give it; empty: file.
// public_key: the station's, from elsewhere; empty: any that the bundle names.
std::string verify_bundle(const std::string& file, const std::string& public_key,
                          const std::string& shown = "");

} // namespace quietpass
