// Since when an animal is held: while it lasts, from edges alone. From the closing of `held` (or of
// `body_held` where there is no head contact) to the stun or cut, the release, the opening of the holder, or
// the next animal of a box. Times are station seconds. Pure; not thread-safe.
#pragma once

#include <optional>

#include "daemon/contacts/edge.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

class HoldWatch {
  public:
    explicit HoldWatch(const StationSettings& settings);

    void take(const Edge& edge);
    // Contacts were not known: what was held may be gone.
    void forget() { held_since_s_.reset(); }

    std::optional<double> held_since_s() const { return held_since_s_; }

  private:
    std::optional<Role> holder_;
    bool box_;
    std::optional<double> held_since_s_;
};

} // namespace quietpass
