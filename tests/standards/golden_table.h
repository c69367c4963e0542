// Reads a table of golden values: comma-separated, first line a comment with the tools' versions, second the
// header.
#pragma once

#include <string>
#include <vector>

namespace quietpass::golden {

// The rows' fields. Throws std::runtime_error when the file is missing or has no rows.
std::vector<std::vector<std::string>> read_table(const std::string& file);

} // namespace quietpass::golden
