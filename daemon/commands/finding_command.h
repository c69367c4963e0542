// `quietpass finding`: what people found on hearing calls, and what it makes of a shift's figure. Errors:
// Failure. One thread.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_finding_command(CLI::App& app);

} // namespace quietpass
