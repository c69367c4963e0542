// A passage as one line of at most 80 columns, for a terminal. One thread.
#pragma once

#include "daemon/passages/passage.h"

namespace quietpass {

void show_passage_header();
void show_passage(const Passage& passage);

} // namespace quietpass
