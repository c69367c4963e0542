// `quietpass export`: a case as one file for its receiver. Errors: Failure. One thread.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_export(CLI::App& app);

} // namespace quietpass
