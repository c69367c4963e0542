// `quietpass finding list` and `figures`. Errors: Failure. One thread.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_finding_listing(CLI::App& command);

} // namespace quietpass
