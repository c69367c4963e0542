// The known word that a mistyped one most likely meant, for error messages.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

namespace quietpass {

// The word of least edit distance (insertions, deletions, substitutions and swaps of neighbours; letter case
// counts nothing), if it is near: at most a third of the longer word's length. The first of equals.
std::optional<std::string_view> near_miss(std::string_view typed, const std::vector<std::string_view>& known);

} // namespace quietpass
