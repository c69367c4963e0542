#include "daemon/audits/open_audit.h"

#include <algorithm>
#include <set>

namespace quietpass {

std::vector<HandAuditRow> OpenAudit::rows() const {
    std::vector<HandAuditRow> rows;
    for (const AuditEvent& score : scores) {
        rows.push_back({score.shift_id, score.passage_id, score.at_utc_ns, score.vocal, auditor, score.note});
    }
    return rows;
}

std::optional<OpenAudit> open_audit(const std::vector<AuditEvent>& events) {
    std::set<std::string> taken_back;
    for (const AuditEvent& event : events) {
        if (event.step == AuditStep::kTakenBack) taken_back.insert(event.takes_back);
    }
    std::optional<OpenAudit> audit;
    for (const AuditEvent& event : events) {
        if (event.step == AuditStep::kStarted && !audit) {
            audit = {event.audit_id, event.utc_ns, event.by, event.auditor, event.note, false, {}};
        }
        if (!audit) continue;
        if (event.step == AuditStep::kGivenUp) audit->given_up = true;
        if (event.step != AuditStep::kScored || taken_back.contains(event.id)) continue;
        if (event.passage_id) {
            std::erase_if(audit->scores, [&event](const AuditEvent& earlier) {
                return earlier.shift_id == event.shift_id && earlier.passage_id == event.passage_id;
            });
        }
        audit->scores.push_back(event);
    }
    return audit;
}

} // namespace quietpass
