#include "daemon/settings/near_miss.h"

#include <algorithm>
#include <cctype>

namespace quietpass {

namespace {

bool same(char a, char b) {
    return std::tolower(static_cast<unsigned char>(a)) == std::tolower(static_cast<unsigned char>(b));
}

// Optimal string alignment distance: each of the four edits costs one.
std::size_t distance(std::string_view a, std::string_view b) {
    std::vector<std::vector<std::size_t>> cost(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
    for (std::size_t i = 0; i <= a.size(); ++i) {
        for (std::size_t j = 0; j <= b.size(); ++j) {
            if (i == 0 || j == 0) {
                cost[i][j] = i + j;
                continue;
            }
            cost[i][j] = std::min({cost[i - 1][j] + 1, cost[i][j - 1] + 1,
                                   cost[i - 1][j - 1] + (same(a[i - 1], b[j - 1]) ? 0 : 1)});
            if (i > 1 && j > 1 && same(a[i - 1], b[j - 2]) && same(a[i - 2], b[j - 1])) {
                cost[i][j] = std::min(cost[i][j], cost[i - 2][j - 2] + 1);
            }
        }
    }
    return cost[a.size()][b.size()];
}

} // namespace

std::optional<std::string_view> near_miss(std::string_view typed,
                                          const std::vector<std::string_view>& known) {
    constexpr std::size_t kLongestWord = 64;
    if (typed.size() > kLongestWord) return std::nullopt;
    std::optional<std::string_view> nearest;
    std::size_t least = kLongestWord;
    for (const std::string_view word : known) {
        const std::size_t edits = distance(typed, word);
        if (edits < least && 3 * edits <= std::max(typed.size(), word.size())) {
            nearest = word;
            least = edits;
        }
    }
    return nearest;
}

} // namespace quietpass
