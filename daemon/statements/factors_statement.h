// What `quietpass factors` and the page say goes with the calls. Pure; any thread.
#pragma once

#include <vector>

#include "daemon/factors/factors.h"
#include "daemon/tables/table.h"

namespace quietpass {

// Edges of bands as people give them: rising numbers over 0.
bool are_edges(const std::vector<double>& edges);
inline constexpr const char* kEdgesExpected = "rising numbers over 0, as in 5,10,20";

Statement factors_statement(const std::vector<PassageFacts>& facts, const FactorSettings& settings);

} // namespace quietpass
