// `quietpass users`: who may use the page. Each change is told in the records (table accesses); passwords
// never stand on a command line. Errors: Failure.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_users_command(CLI::App& app);

} // namespace quietpass
