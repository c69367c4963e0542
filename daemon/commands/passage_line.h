// A passage as a line of at most 80 columns for a terminal, what was odd going on in the lines below it. Pure.
#pragma once

#include <string>

#include "daemon/passages/passage.h"

namespace quietpass {

// Both end with a line end.
std::string passage_line_header();
std::string passage_line_of(const Passage& passage);

} // namespace quietpass
