// `quietpass verify`: whether records are as they were written, and how far the station's signature vouches
// for that; of a store, of an exported ledger.tsv, or of the code on a paper report. Throws Failure: exit 1
// names the first record that doesn't fit.
#pragma once

#include <CLI/CLI.hpp>

namespace quietpass {

void add_verify(CLI::App& app);

} // namespace quietpass
