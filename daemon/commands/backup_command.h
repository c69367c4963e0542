// `quietpass backup` and `quietpass restore`: a verified copy of the record store while it is written, and
// back. Throws Failure.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_backup(CLI::App& app);
void add_restore(CLI::App& app);

} // namespace quietpass
