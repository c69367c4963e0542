// `quietpass case`: the file opened when someone complains. Errors: Failure. One thread.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_case_command(CLI::App& app);

} // namespace quietpass
