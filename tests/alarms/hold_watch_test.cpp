#include <catch2/catch.hpp>

#include "daemon/alarms/hold_watch.h"

using namespace quietpass;

namespace {

StationSettings station(std::initializer_list<Role> roles, RestraintKind kind = RestraintKind::kBox) {
    StationSettings settings;
    settings.restraint.kind = kind;
    for (const Role role : roles) settings.contacts.emplace_back().role = role;
    return settings;
}

} // namespace

TEST_CASE(
    "A hold lasts from the head holder's closing to the stun, the release, its opening or the next animal") {
    const auto settings =
        station({Role::kEntered, Role::kBodyHeld, Role::kHeld, Role::kStunned, Role::kReleased});
    const Edge ends[] = {{20.0, Role::kStunned, true},
                         {20.0, Role::kReleased, true},
                         {20.0, Role::kHeld, false},
                         {20.0, Role::kEntered, true}};
    for (const Edge& end : ends) {
        HoldWatch hold(settings);
        hold.take({1.0, Role::kEntered, true});
        hold.take({3.0, Role::kBodyHeld, true});
        CHECK_FALSE(hold.held_since_s());
        hold.take({5.0, Role::kHeld, true});
        hold.take({6.0, Role::kEntered, false});
        CHECK(hold.held_since_s() == 5.0);
        hold.take(end);
        CHECK_FALSE(hold.held_since_s());
    }
}

TEST_CASE("Without a head contact the body hold counts; without either nothing does") {
    HoldWatch body(station({Role::kEntered, Role::kBodyHeld, Role::kCut}));
    body.take({3.0, Role::kBodyHeld, true});
    CHECK(body.held_since_s() == 3.0);
    body.take({9.0, Role::kCut, true});
    CHECK_FALSE(body.held_since_s());
    HoldWatch none(station({Role::kEntered, Role::kStunned}));
    none.take({3.0, Role::kEntered, true});
    CHECK_FALSE(none.held_since_s());
}

TEST_CASE("On a conveyor the next animal's entry ends no hold") {
    HoldWatch hold(station({Role::kEntered, Role::kHeld, Role::kStunned}, RestraintKind::kConveyor));
    hold.take({3.0, Role::kHeld, true});
    hold.take({4.0, Role::kEntered, true});
    CHECK(hold.held_since_s() == 3.0);
}
