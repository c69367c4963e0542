// A hand audit that is scored animal by animal, as it stands: whose it is, and the scores that count.
//
// Of two scores of the same passage the later counts; one that was taken back doesn't, and the one before it
// does again. Pure; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/records/audit_event.h"
#include "daemon/records/hand_audit.h"

namespace quietpass {

struct OpenAudit {
    std::int64_t id = 0;
    std::int64_t started_utc_ns = 0;
    std::string by; // who began it, and alone may go on with it
    std::string auditor;
    std::string note;
    bool given_up = false;
    std::vector<AuditEvent> scores; // that count, in the order of scoring

    std::vector<HandAuditRow> rows() const;
};

// Nothing without a start.
std::optional<OpenAudit> open_audit(const std::vector<AuditEvent>& events);

} // namespace quietpass
