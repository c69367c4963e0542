// A time zone by its IANA name. Errors: Failure (exit 2) for an unknown name, (exit 1) where the machine has
// no time zone data. Any thread; the zone lives as long as the program.
#pragma once

#include <string>

namespace date {
class time_zone;
}

namespace quietpass {

const date::time_zone* zone_named(const std::string& name);

} // namespace quietpass
