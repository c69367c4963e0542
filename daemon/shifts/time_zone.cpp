#include "daemon/shifts/time_zone.h"

#include <date/tz.h>

#include <exception>

#include "daemon/failure.h"

namespace quietpass {

const date::time_zone* zone_named(const std::string& name) {
    try {
        date::get_tzdb();
    } catch (const std::exception& error) {
        throw Failure(kExitFailure, std::string("time zone data of this machine: can't be read (") +
                                        error.what() + "); install the package tzdata");
    }
    try {
        return date::locate_zone(name);
    } catch (const std::exception&) {
        throw Failure(kExitUsage, "[station] timezone \"" + name +
                                      "\": no such time zone; give an IANA name like \"America/Denver\"");
    }
}

} // namespace quietpass
