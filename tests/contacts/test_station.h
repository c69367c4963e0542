// Stations for tests of contacts.
#pragma once

#include <string>
#include <vector>

#include "daemon/settings/station_settings.h"

namespace quietpass {

// A station with one contact of each role, named as the role.
inline StationSettings station_with(const std::vector<Role>& roles, double debounce_s = 0.020) {
    StationSettings settings;
    settings.name = "box-2";
    settings.file = "s.toml";
    for (const Role role : roles) {
        ContactSettings contact;
        contact.role = role;
        contact.name = name_of(role);
        contact.debounce_s = debounce_s;
        settings.contacts.push_back(contact);
    }
    return settings;
}

// Wires each contact to the discrete input of its index.
inline void wire(StationSettings& settings, int port) {
    for (std::size_t i = 0; i < settings.contacts.size(); ++i) {
        settings.contacts[i].input =
            "modbus://127.0.0.1:" + std::to_string(port) + "/unit/1/discrete/" + std::to_string(i);
    }
}

} // namespace quietpass
