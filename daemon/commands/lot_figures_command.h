// `quietpass lot figures`: shares vocal lot by lot, and of all allowing for lots that differ. Throws Failure.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_lot_figures(CLI::App& lot);

} // namespace quietpass
