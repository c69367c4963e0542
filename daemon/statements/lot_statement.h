// What `quietpass lot figures` and the page say of lots: the share of each, and over all with an interval
// that allows for lots that differ. Pure; any thread.
#pragma once

#include <vector>

#include "daemon/factors/passage_facts.h"
#include "daemon/records/local_time.h"
#include "daemon/tables/table.h"

namespace quietpass {

Statement lot_statement(const std::vector<PassageFacts>& facts, const LocalTime& time);

} // namespace quietpass
