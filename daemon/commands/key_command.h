// `quietpass key show` and `key rotate`: the station's keys, as the records name them, and a new one in place
// of the present one. Throws Failure.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_key(CLI::App& app);

} // namespace quietpass
