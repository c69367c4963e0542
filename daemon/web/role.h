// What a person may do on the page. Each role may do all that the one before may. Pure.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

// kWall: the live page only, for a screen on the wall. kReviewer: hears calls and says what they were,
// acknowledges alarms. kManager: journal, cases, reports. kAdministrator: all.
enum class PageRole { kWall, kReviewer, kManager, kAdministrator };

inline constexpr std::array<std::string_view, 4> kPageRoleNames = {"wall", "reviewer", "manager",
                                                                   "administrator"};

constexpr std::string_view name_of(PageRole role) {
    return kPageRoleNames.at(static_cast<std::size_t>(role));
}

constexpr std::optional<PageRole> page_role_named(std::string_view word) {
    for (std::size_t i = 0; i < kPageRoleNames.size(); ++i) {
        if (kPageRoleNames.at(i) == word) return static_cast<PageRole>(i);
    }
    return std::nullopt;
}

} // namespace quietpass
