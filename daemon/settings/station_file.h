// Reads and checks a station file (TOML). deploy/station.md describes it key by key.
//
// Errors: Failure(2), one line "file:line: key: what was expected, what was found". Unknown keys, wrong
// types, impossible values and contradictions are errors, never ignored.
#pragma once

#include <string>

#include "daemon/settings/station_settings.h"

namespace quietpass {

// The result's `file` is the path as given, `sha256` the hash of the bytes read. A relative `profile` is
// taken from the station file's folder.
StationSettings read_station_file(const std::string& path);

} // namespace quietpass
