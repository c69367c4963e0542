// calls.csv: every call of a shift, counted or not, in the order given (by onset). FORMATS.md has the
// columns.
//
// Out: the whole file's bytes, header first; the same input gives the same bytes in any locale. Pure.
#pragma once

#include <span>
#include <string>

#include "classifiers/species.h"
#include "daemon/passages/station_call.h"

namespace quietpass {

std::string calls_csv(Species species, std::span<const StationCall> calls);

} // namespace quietpass
