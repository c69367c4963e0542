// `quietpass passages`: the passages of a record store, one a line. Throws Failure.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_passages(CLI::App& app);

} // namespace quietpass
