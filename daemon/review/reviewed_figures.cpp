#include "daemon/review/reviewed_figures.h"

namespace quietpass {

namespace {

struct OfPassage {
    bool scored = false;
    bool counted = false;  // by the machine
    bool standing = false; // a counted call that was not turned down
};

void add_share(ReviewedShare& share, std::int64_t scored) {
    share.interval = wilson_interval(share.vocal, scored);
    if (scored > 0) share.share = static_cast<double>(share.vocal) / static_cast<double>(scored);
}

} // namespace

ReviewedFigures reviewed_figures(const std::vector<Passage>& passages, const std::vector<StationCall>& calls,
                                 std::int64_t shift_id, const std::map<CallKey, CallReview>& reviews) {
    ReviewedFigures figures;
    std::map<std::int64_t, OfPassage> by_id;
    for (const Passage& passage : passages) {
        if (passage.excluded.empty()) ++figures.scored;
        by_id[passage.id].scored = passage.excluded.empty();
    }
    for (const StationCall& call : calls) {
        if (!call.counted || !call.passage_id) continue;
        OfPassage& passage = by_id[*call.passage_id];
        if (!passage.scored) continue;
        passage.counted = true;
        ++figures.counted_calls;
        const auto found = reviews.find({shift_id, call.id});
        if (found == reviews.end()) {
            passage.standing = true;
            continue;
        }
        const CallVerdict verdict = found->second.latest.verdict;
        ++figures.judged;
        if (found->second.disputed) ++figures.disputed;
        if (verdict == CallVerdict::kCall) ++figures.confirmed;
        if (verdict == CallVerdict::kCannotTell) ++figures.cannot_tell;
        if (turns_down(verdict)) {
            ++figures.turned_down;
        } else {
            passage.standing = true;
        }
    }
    for (const auto& [id, passage] : by_id) {
        if (passage.counted) ++figures.machine.vocal;
        if (passage.standing) ++figures.reviewed.vocal;
        if (passage.counted && !passage.standing) figures.turned_silent.push_back(id);
    }
    add_share(figures.machine, figures.scored);
    add_share(figures.reviewed, figures.scored);
    return figures;
}

} // namespace quietpass
