// Random stations and random edges for the properties of the cycle. Time-outs are short, so that edges a few
// seconds apart meet all of them; gaps are often 0, and tenths of seconds do not add up exactly, so that ties
// and rounding are met too.
#pragma once

#include <rapidcheck.h>

#include <vector>

#include "daemon/contacts/edge.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

struct RandomStation {
    RestraintSettings settings;
    std::vector<Role> wired; // with `entered`, `stunned` or `cut`
    std::vector<Edge> edges; // of wired roles, in time order
    double end_s = 0.0;
};

inline std::vector<Role> random_roles() {
    std::vector<Role> wired = {*rc::gen::element(Role::kEntered, Role::kStunned, Role::kCut)};
    for (const Role role : {Role::kEntered, Role::kBodyHeld, Role::kHeld, Role::kStunned, Role::kCut,
                            Role::kReleased, Role::kProdded, Role::kStopped}) {
        if (role != wired.front() && *rc::gen::arbitrary<bool>()) wired.push_back(role);
    }
    return wired;
}

inline RandomStation random_station() {
    RandomStation station;
    station.settings.kind = *rc::gen::element(RestraintKind::kBox, RestraintKind::kConveyor);
    station.settings.at_stun_s = *rc::gen::element(0.0, 0.3, 0.5, 2.0);
    station.settings.shortest_s = *rc::gen::element(0.5, 1.0);
    station.settings.longest_s = *rc::gen::element(15.0, 40.0);
    station.settings.after_stun_s = *rc::gen::element(3.0, 12.0);
    station.settings.entry_before_s = *rc::gen::element(1.0, 6.0, 20.0);
    station.wired = random_roles();
    const auto steps = *rc::gen::container<std::vector<std::tuple<int, std::size_t, int>>>(
        rc::gen::tuple(rc::gen::element(0, 0, 1, 3, 4, 7, 10, 15, 30, 70, 200),
                       rc::gen::inRange<std::size_t>(0, station.wired.size()), rc::gen::inRange(0, 4)));
    for (const auto& [tenths, role, open] : steps) {
        station.end_s += 0.1 * tenths;
        station.edges.push_back({station.end_s, station.wired[role], open != 0});
    }
    station.end_s += *rc::gen::element(0.0, 2.5, 100.0);
    return station;
}

} // namespace quietpass
