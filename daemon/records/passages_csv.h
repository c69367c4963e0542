// passages.csv: every passage of a shift in the order given (by entry). FORMATS.md has the columns.
//
// Out: the whole file's bytes, header first; the same input gives the same bytes in any locale. Pure.
#pragma once

#include <span>
#include <string>

#include "daemon/passages/passage.h"

namespace quietpass {

std::string passages_csv(std::span<const Passage> passages);

} // namespace quietpass
