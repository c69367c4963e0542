// `quietpass change compare`: the passages before a change against those after. Throws Failure.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_change_compare(CLI::App& change);

} // namespace quietpass
