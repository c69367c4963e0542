#include "daemon/review/findings_in_force.h"

#include <set>

namespace quietpass {

std::vector<Finding> findings_in_force(const std::vector<Finding>& all) {
    std::set<std::int64_t> withdrawn;
    for (const Finding& finding : all) {
        if (finding.withdraws) withdrawn.insert(*finding.withdraws);
    }
    std::vector<Finding> in_force;
    for (const Finding& finding : all) {
        if (!finding.withdraws && withdrawn.count(finding.id) == 0) in_force.push_back(finding);
    }
    return in_force;
}

std::map<CallKey, CallReview> reviews_of(const std::vector<Finding>& all) {
    std::map<CallKey, CallReview> reviews;
    for (const Finding& finding : findings_in_force(all)) {
        const auto [place, fresh] = reviews.try_emplace({finding.shift_id, finding.call_id});
        CallReview& review = place->second;
        if (!fresh) {
            review.disputed = review.disputed ||
                              turns_down(review.latest.verdict) != turns_down(finding.verdict) ||
                              (review.latest.verdict == CallVerdict::kCannotTell) !=
                                  (finding.verdict == CallVerdict::kCannotTell);
        }
        review.latest = finding;
    }
    return reviews;
}

} // namespace quietpass
