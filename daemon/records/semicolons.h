// Words that one column holds, apart by semicolons.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

namespace quietpass {

inline std::vector<std::string> split_at_semicolons(const std::string& text) {
    std::vector<std::string> words;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find(';', at), text.size());
        words.push_back(text.substr(at, end - at));
        at = end + 1;
    }
    return words;
}

} // namespace quietpass
