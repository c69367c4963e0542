// A passage as a line of at most 80 columns for a terminal, what was odd going on in the lines below it.
// Pure.
#pragma once

#include <string>

#include "daemon/passages/passage.h"

namespace quietpass {

// Both end with a line end. cuts: the station has `cut`, so that a call after it is told without an alarm's
// words.
std::string passage_line_header(bool cuts);
std::string passage_line_of(const Passage& passage, bool cuts);

} // namespace quietpass
