// `quietpass case list` and `show`. Errors: Failure. One thread.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_case_listing(CLI::App& command);

} // namespace quietpass
