// evaluation.json: the figures of an evaluation, without the lists of judged passages and clips. FORMATS.md
// has the keys. The same evaluation gives the same bytes. Pure.
#pragma once

#include <string>

#include "daemon/evaluation/evaluation.h"

namespace quietpass {

std::string evaluation_json(const Evaluation& evaluation);

} // namespace quietpass
