// `quietpass handaudit`: what a person scored by ear, kept and held against the machine's record, and the
// guides' sample taken from that record. Rows are only added. Throws Failure.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_handaudit(CLI::App& app); // add, list, withdraw, compare, sample

// Of `handaudit`.
void add_handaudit_compare(CLI::App& command);
void add_handaudit_sample(CLI::App& command);

} // namespace quietpass
