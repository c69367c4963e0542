#include "daemon/audits/hand_audits_in_force.h"

#include <set>

namespace quietpass {

std::vector<HandAudit> hand_audits_in_force(const std::vector<HandAudit>& all) {
    std::set<std::int64_t> withdrawn;
    for (const HandAudit& audit : all) {
        if (audit.withdraws) withdrawn.insert(*audit.withdraws);
    }
    std::vector<HandAudit> in_force;
    for (const HandAudit& audit : all) {
        if (!audit.withdraws && withdrawn.count(audit.id) == 0) in_force.push_back(audit);
    }
    return in_force;
}

} // namespace quietpass
