#include "daemon/passages/line_count.h"

#include <utility>

namespace quietpass {

namespace {
// So many animals later it is known that no passage will be found for one.
constexpr int kFoundWithin = 3;
} // namespace

LineCount::Tag LineCount::begin(Animal& animal) {
    undecided_[++last_tag_].animal = &animal;
    return last_tag_;
}

LineCount::Tag LineCount::doubt(const Edge& edge, const char* why) {
    doubts_[++last_tag_] = {edge, why};
    return last_tag_;
}

void LineCount::left(Tag tag, bool sure) {
    const auto found = undecided_.find(tag);
    if (found == undecided_.end()) return;
    Begun& begun = found->second;
    begun.has_left = true;
    begun.sure = sure;
    if (begun.verdict == Begun::kOpen) {
        begun.animal->kept_back = !sure;
        return;
    }
    if (begun.verdict == Begun::kNobody) {
        if (sure) {
            --missing_;
        } else {
            make_nobody(*begun.animal, begun.second);
        }
    }
    undecided_.erase(found);
}

void LineCount::make_nobody(Animal& animal, bool second) {
    // Known by its stun alone, it says itself what it is.
    if (!animal.has_stun()) flag(animal.passage, second ? "double_entry" : "counted_twice");
    animal.passage.excluded = "no_animal";
}

void LineCount::settle(double time_s, double running_s, const HeadCount::Knowledge& knowledge, bool all) {
    for (const HeadCount::Found& found : heads_.settle(running_s, knowledge, all)) {
        if (found.animal) {
            decide_group();
            ++missing_;
        }
        for (unsigned mark = 0; mark < HeadCount::kMarks; ++mark) {
            const Tag tag = found.tags[mark];
            if (tag == 0) continue;
            if (mark == HeadCount::kRelease) {
                group_doubts_.push_back(tag);
            } else {
                undecided_.at(tag).second = !found.animal;
                group_.push_back(tag);
            }
        }
    }
    if (all) decide_group();
    if (missing_ > 0 && (all || groups_missing_ > kFoundWithin)) add_missing(time_s);
}

// Whoever is surely an animal goes first, then the others as far as animals are left.
void LineCount::decide_group() {
    for (const bool sure : {true, false}) {
        for (const Tag tag : group_) {
            const auto found = undecided_.find(tag);
            if (found == undecided_.end() || found->second.verdict != Begun::kOpen) continue;
            Begun& begun = found->second;
            if (begun.has_left && begun.sure) {
                --missing_;
                undecided_.erase(found);
            } else if (!sure) {
                decide(tag, begun);
            }
        }
    }
    group_.clear();
    groups_missing_ = missing_ > 0 ? groups_missing_ + 1 : 0;
    if (missing_ > 0) return;
    for (const Tag tag : group_doubts_) {
        const auto doubt = doubts_.extract(tag);
        state_.stray(doubt.mapped().first, doubt.mapped().second);
    }
    group_doubts_.clear();
}

void LineCount::decide(Tag tag, Begun& begun) {
    const bool told = begun.animal->passage.excluded == "no_animal"; // too short
    begun.verdict = missing_ > 0 || told ? Begun::kAnimal : Begun::kNobody;
    if (begun.verdict == Begun::kAnimal) --missing_;
    if (!begun.has_left) return;
    begun.animal->kept_back = false;
    if (begun.verdict == Begun::kNobody) make_nobody(*begun.animal, begun.second);
    undecided_.erase(tag);
}

void LineCount::add_missing(double time_s) {
    for (; missing_ > 0; --missing_) {
        Animal& animal = state_.begin(time_s);
        flag(animal.passage, "entered_missing");
        if (animal.passage.excluded.empty()) animal.passage.excluded = "entry_not_seen";
        animal.open = false;
        animal.passage.end_s = time_s;
        if (group_doubts_.empty()) continue;
        doubts_.erase(group_doubts_.front()); // it was its release
        group_doubts_.pop_front();
    }
    groups_missing_ = 0;
    for (const Tag tag : std::exchange(group_doubts_, {})) {
        const auto doubt = doubts_.extract(tag);
        state_.stray(doubt.mapped().first, doubt.mapped().second);
    }
}

} // namespace quietpass
