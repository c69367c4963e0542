#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <set>
#include <string>

#include "daemon/settings/station_file.h"

using namespace quietpass;

namespace {

StationSettings example(const std::string& name) {
    return read_station_file(std::string(EXAMPLE_STATIONS) + "/" + name + ".toml");
}

bool has(const StationSettings& settings, Role role) {
    return std::any_of(settings.contacts.begin(), settings.contacts.end(),
                       [role](const auto& contact) { return contact.role == role; });
}

} // namespace

TEST_CASE("each example station is a whole one: a start would get as far as its devices", "[settings]") {
    std::set<std::string> names;
    for (const auto& file : std::filesystem::directory_iterator(EXAMPLE_STATIONS)) {
        if (file.path().extension() == ".toml") names.insert(file.path().stem());
    }
    CHECK(names == std::set<std::string>{"box", "conveyor", "pig_restrainer"});
    for (const std::string& name : names) {
        INFO(name);
        const StationSettings settings = example(name);
        for (const auto& microphone : settings.microphones) CHECK_FALSE(microphone.device.empty());
        for (const auto& contact : settings.contacts) CHECK_FALSE(contact.input.empty());
        CHECK_FALSE(settings.shifts.empty());
        CHECK(settings.page.on);
    }
}

TEST_CASE("the examples are a box with a head holder, a conveyor, and pigs one at a time", "[settings]") {
    const StationSettings box = example("box");
    CHECK(box.restraint.kind == RestraintKind::kBox);
    CHECK(box.restraint.head_holder);
    CHECK(has(box, Role::kHeld));
    CHECK(example("conveyor").restraint.kind == RestraintKind::kConveyor);
    CHECK(has(example("conveyor"), Role::kEntered));
    const StationSettings pigs = example("pig_restrainer");
    CHECK(pigs.species == Species::kPig);
    CHECK(pigs.restraint.kind == RestraintKind::kBox);
}
