// `quietpass clips list|show|delete`: the clips of a record store, beside the running daemon or without it.
// Errors: Failure; exit 1 for a clip that a case holds.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_clips(CLI::App& app);

} // namespace quietpass
