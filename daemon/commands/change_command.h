// `quietpass change`: what was altered at the station, and before against after. Throws Failure.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_change(CLI::App& app);

} // namespace quietpass
