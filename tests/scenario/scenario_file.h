// Reads a scenario file. Unknown keys, wrong types and impossible values throw Failure (exit 2) with file,
// line, key and what was expected. Relative folders in the file are taken from the file's own folder.
#pragma once

#include <string>

#include "tests/scenario/scenario.h"

namespace quietpass::scenario {

Scenario read_scenario(const std::string& path);

// The same from text; `name` stands for the file in messages.
Scenario parse_scenario(const std::string& text, const std::string& name);

} // namespace quietpass::scenario
