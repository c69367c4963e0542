// The figures of an evaluation for a terminal of 80 columns. Only what is there is shown. Pure.
#pragma once

#include <string>

#include "daemon/evaluation/evaluation.h"

namespace quietpass {

std::string evaluation_table(const Evaluation& evaluation);

} // namespace quietpass
