// The text of a Statement. Pure; any thread.
#pragma once

#include <string>

#include "daemon/tables/table.h"

namespace quietpass {

inline constexpr std::size_t kTextColumns = 80;

std::string text_of(const Statement& statement);

// Broken at blanks to so many columns, each line with its end. The lines that follow begin with the blanks
// that the text begins with, and `hang` more.
std::string wrapped(const std::string& text, std::size_t hang = 0, std::size_t columns = kTextColumns);

} // namespace quietpass
