// `quietpass tune`: hands over to the program quietpass-tune beside this one, so that the daemon never loads
// the training library. Throws Failure when that program isn't there; otherwise never returns.
#pragma once

#include <string>
#include <vector>

namespace quietpass {

[[noreturn]] void tune(const std::vector<std::string>& arguments);

} // namespace quietpass
