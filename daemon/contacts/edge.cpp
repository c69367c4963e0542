#include "daemon/contacts/edge.h"

#include <array>

namespace quietpass {

namespace {
constexpr std::array kRoles = {Role::kEntered, Role::kBodyHeld, Role::kHeld,    Role::kStunned,
                               Role::kCut,     Role::kReleased, Role::kProdded, Role::kStopped};
}

std::optional<Role> role_from(std::string_view word) {
    for (const Role role : kRoles) {
        if (word == name_of(role)) return role;
    }
    return std::nullopt;
}

std::string_view name_of(Role role) {
    switch (role) {
        case Role::kEntered:
            return "entered";
        case Role::kBodyHeld:
            return "body_held";
        case Role::kHeld:
            return "held";
        case Role::kStunned:
            return "stunned";
        case Role::kCut:
            return "cut";
        case Role::kReleased:
            return "released";
        case Role::kProdded:
            return "prodded";
        case Role::kStopped:
            return "stopped";
    }
    return "";
}

} // namespace quietpass
