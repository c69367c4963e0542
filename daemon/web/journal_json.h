// A journal entry as the routes and the commands give it to machines. Within daemon/web only. Any thread.
#pragma once

#include <nlohmann/json.hpp>

#include "daemon/records/journal_entry.h"

namespace quietpass {

nlohmann::ordered_json entry_json(const JournalEntry& entry);

} // namespace quietpass
