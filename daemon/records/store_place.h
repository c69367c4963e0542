// Where a record store is: the file itself, or that in the folder of `run` or `score`.
#pragma once

#include <filesystem>
#include <string>

namespace quietpass {

// command: whose option it is, for the Failure (exit 2) where no store is.
std::filesystem::path store_in(const std::string& command, const std::filesystem::path& records);

} // namespace quietpass
