// `quietpass factors`: what goes with the calls over any span of passages. Throws Failure.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_factors(CLI::App& app);

} // namespace quietpass
