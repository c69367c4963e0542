// `quietpass report`: a shift, a week, a month or another time as PDF, CSV or JSON. Errors: Failure.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_report(CLI::App& app);

} // namespace quietpass
