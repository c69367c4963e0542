// One debounced change of a contact, and the roles a contact can have.
//
// time_s is station seconds: from the first audio sample of the station's first microphone.
#pragma once

#include <optional>
#include <string_view>

namespace quietpass {

enum class Role { kEntered, kBodyHeld, kHeld, kStunned, kCut, kReleased, kProdded, kStopped };

struct Edge {
    double time_s = 0.0;
    Role role = Role::kEntered;
    bool closed = false;
};

// "entered", "body_held", "held", "stunned", "cut", "released", "prodded", "stopped".
std::optional<Role> role_from(std::string_view word);
std::string_view name_of(Role role);

} // namespace quietpass
