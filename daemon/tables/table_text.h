// The text of a Statement. Pure; any thread.
#pragma once

#include <string>

#include "daemon/tables/table.h"

namespace quietpass {

inline constexpr std::size_t kTextColumns = 80;

std::string text_of(const Statement& statement);

} // namespace quietpass
