// The daemon's log: to a file, or to standard error for the journal. Throws Failure (exit 1) for a file that
// can't be written.
#pragma once

#include <spdlog/logger.h>

#include <memory>
#include <string>

namespace quietpass {

// path empty: standard error.
std::shared_ptr<spdlog::logger> make_log(const std::string& path);

} // namespace quietpass
