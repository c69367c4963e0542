// `quietpass tune --history` and `--go-back`, as lines for a terminal. Throw Failure as profile_history.h
// says.
#pragma once

#include <optional>
#include <string>

namespace quietpass {

// A line a kept profile and one for the present: name, version, terms, cut, what it reaches.
std::string history_text(const std::string& profile);

// Does it, and says what stands where now.
std::string went_back_text(const std::string& profile, std::optional<int> to);

} // namespace quietpass
