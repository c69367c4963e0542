// The hand audits that nobody took back. Pure; any thread.
#pragma once

#include <vector>

#include "daemon/records/hand_audit.h"

namespace quietpass {

std::vector<HandAudit> hand_audits_in_force(const std::vector<HandAudit>& all);

} // namespace quietpass
