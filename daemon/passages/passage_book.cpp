#include "daemon/passages/passage_book.h"

#include <algorithm>
#include <iterator>
#include <limits>

namespace quietpass {

Animal& PassageBook::insert(double entered_s, bool candidate) {
    auto behind = waiting_.end();
    while (behind != waiting_.begin() && std::prev(behind)->passage.entered_s > entered_s) --behind;
    Animal& animal = *waiting_.emplace(behind);
    animal.passage.entered_s = entered_s;
    animal.candidate = candidate;
    number();
    return animal;
}

void PassageBook::promote(Animal& candidate, double entered_s) {
    candidate.candidate = false;
    candidate.passage.entered_s = entered_s;
    candidate.candidate_edges.clear();
    number();
}

void PassageBook::drop(Animal& candidate) {
    waiting_.remove_if([&](const Animal& animal) { return &animal == &candidate; });
    number();
}

void PassageBook::number() {
    for (Animal& animal : waiting_) {
        if (animal.candidate) return;
        if (animal.passage.id == 0) animal.passage.id = ++last_id_;
    }
}

bool PassageBook::take_closed(Passage& out) {
    if (waiting_.empty() || waiting_.front().open || waiting_.front().kept_back) return false;
    out = waiting_.front().passage;
    taken_.splice(taken_.end(), waiting_, waiting_.begin());
    return true;
}

void PassageBook::forget_before(double time_s) {
    taken_.remove_if([&](const Animal& animal) { return animal.passage.end_s <= time_s; });
}

double PassageBook::earliest_candidate_s() const {
    const auto first =
        std::find_if(waiting_.begin(), waiting_.end(), [](const Animal& a) { return a.candidate; });
    return first == waiting_.end() ? std::numeric_limits<double>::infinity() : first->passage.entered_s;
}

} // namespace quietpass
