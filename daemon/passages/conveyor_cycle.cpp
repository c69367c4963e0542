#include "daemon/passages/conveyor_cycle.h"

#include <algorithm>
#include <optional>
#include <utility>

namespace quietpass {

namespace {

constexpr std::size_t kAnimalsRemembered = 512; // more than a line holds
constexpr std::size_t kEnoughIntervals = 5;

void remember(std::deque<double>& times_s, double time_s) {
    times_s.push_back(time_s);
    if (times_s.size() > kAnimalsRemembered) times_s.pop_front();
}

// How long something at running_s travelled, had it been that of each neighbour of the one that began at
// own_s.
TravelTime::Lags lags_of(const std::deque<double>& begins_s, double own_s, double running_s) {
    TravelTime::Lags lags;
    lags.fill(kNever);
    lags[TravelTime::kOwn] = running_s - own_s;
    const auto own = std::find(begins_s.rbegin(), begins_s.rend(), own_s);
    if (own == begins_s.rend()) return lags;
    const auto index = static_cast<std::size_t>(begins_s.rend() - own) - 1;
    for (std::size_t lag = 0; lag < TravelTime::kLags; ++lag) {
        const std::size_t neighbour = index + lag - TravelTime::kOwn; // wraps below zero: caught by the bound
        if (neighbour < begins_s.size()) lags[lag] = running_s - begins_s[neighbour];
    }
    return lags;
}

} // namespace

void ConveyorCycle::take(const Edge& edge) {
    if (edge.closed) {
        last_edge_s_ = edge.time_s;
        take_closing(edge);
        settle_count(edge.time_s, false);
    } else if (edge.role == Role::kHeld) {
        const auto held =
            std::find_if(line_.rbegin(), line_.rend(), [](const Member& m) { return m.has(kHead); });
        if (held != line_.rend()) take_head_freed(*held->animal, edge.time_s);
    }
}

void ConveyorCycle::take_closing(const Edge& edge) {
    switch (edge.role) {
        case Role::kEntered:
            take_entered(edge.time_s);
            break;
        case Role::kBodyHeld:
            take_mark(edge, kBody);
            break;
        case Role::kHeld:
            take_mark(edge, kHead);
            break;
        case Role::kStunned:
        case Role::kCut:
            take_mark(edge, kStun);
            break;
        case Role::kReleased:
            take_released(edge);
            break;
        case Role::kProdded:
            if (!line_.empty()) ++line_.back().animal->passage.prods;
            break;
        case Role::kStopped:
            break;
    }
}

ConveyorCycle::Member ConveyorCycle::member_at(Animal* animal, double time_s, double origin_s) const {
    Member member;
    member.animal = animal;
    member.since_s = time_s;
    member.stood_s = state_.stops.stood_s(time_s);
    member.origin_s = origin_s;
    return member;
}

void ConveyorCycle::take_entered(double time_s) {
    if (!line_.empty()) {
        Animal& last = *line_.back().animal;
        if (!last.candidate && !last.has_stun() &&
            time_s - last.passage.entered_s < state_.settings.shortest_s) {
            flag(last.passage, "double_entry");
            return;
        }
    }
    const double running_s = state_.stops.running_s(time_s);
    Animal& animal = state_.begin(time_s);
    animal.line_place = running_s;
    const bool nobody_waits = line_.empty() || line_.back().has(kStun);
    Member entered = member_at(&animal, time_s, running_s);
    entered.entered_empty_line = nobody_waits;
    entered.tag = count_.begin(animal);
    count_.add(HeadCount::kEntry, running_s, entered.tag);
    if (!entries_s_.empty()) entry_interval_.add(running_s - entries_s_.back());
    line_.push_back(entered);
    remember(entries_s_, running_s);
}

std::size_t ConveyorCycle::first_without(Mark mark) const {
    std::size_t place = line_.size();
    while (place > 0 && !line_[place - 1].has(mark) && !line_[place - 1].has(kStun)) --place;
    return place;
}

void ConveyorCycle::take_mark(const Edge& edge, Mark mark) {
    const double running_s = state_.stops.running_s(edge.time_s);
    TravelTime& travel = travel_[mark];
    std::size_t place = first_without(mark);
    auto pick = TravelTime::Pick::kNobody;
    if (place < line_.size()) {
        std::optional<double> next_s;
        if (place + 1 < line_.size()) next_s = running_s - line_[place + 1].origin_s;
        pick = travel.pick(running_s - line_[place].origin_s, next_s);
        const bool second_stun =
            mark == kStun && pick == TravelTime::Pick::kNobody && is_second_stun(place, running_s);
        if (pick == TravelTime::Pick::kOldest) {
            if (line_[place].entered_empty_line) travel.fit_from_empty_line();
        } else if (!second_stun) {
            const bool entered_empty_line = std::exchange(line_[place].entered_empty_line, false);
            if (travel.misfit(entered_empty_line)) pick = TravelTime::Pick::kOldest;
        }
    }
    if (pick == TravelTime::Pick::kNobody) {
        mark == kStun ? take_unfitting_stun(edge, place) : take_unfitting_hold(edge, mark, place);
        return;
    }
    if (pick == TravelTime::Pick::kNext) {
        mark == kStun ? leave(place, edge.time_s, End::kPassedBy) : void(++place);
    } else if (line_[place].animal->passage.flags.empty() && !line_[place].animal->candidate) {
        travel.learn(lags_of(entries_s_, line_[place].origin_s, running_s));
        if (mark == kStun && !stuns_s_.empty()) stun_interval_.add(running_s - stuns_s_.back());
    }
    if (mark == kStun && was_its_stun(place, running_s)) leave(--place, edge.time_s, End::kPassedBy);
    enter_into(line_[place], edge, mark);
}

void ConveyorCycle::enter_into(Member& member, const Edge& edge, Mark mark) {
    member.at_s[mark] = state_.stops.running_s(edge.time_s);
    Animal& animal = *member.animal;
    if (animal.candidate && edge.role != animal.candidate_edges.front().role) {
        state_.promote(animal, animal.passage.entered_s, edge.time_s);
    }
    if (mark == kStun) {
        remember(stuns_s_, member.at_s[mark]);
        const bool begins = member.tag == 0;
        if (begins) member.tag = count_.begin(animal);
        count_.add(HeadCount::kStun, member.at_s[mark], begins ? member.tag : 0);
    }
    switch (mark) {
        case kBody:
            take_body_held(animal, edge.time_s);
            break;
        case kHead:
            take_held(animal, edge.time_s);
            break;
        default:
            state_.stun(animal, edge);
            break;
    }
}

void ConveyorCycle::take_unfitting_hold(const Edge& edge, Mark mark, std::size_t place) {
    if (place > 0 && !line_[place - 1].has(kStun)) {
        if (mark == kHead) take_held(*line_[place - 1].animal, edge.time_s);
        return;
    }
    const double running_s = state_.stops.running_s(edge.time_s);
    double origin_s = running_s - (travel_[mark].known() ? travel_[mark].expected_s() : 0.0);
    if (place < line_.size()) origin_s = std::min(origin_s, line_[place].origin_s);
    if (place > 0) origin_s = std::max(origin_s, line_[place - 1].origin_s);
    Animal& candidate = state_.book.open_candidate(edge.time_s);
    candidate.candidate_edges.push_back(edge);
    candidate.line_place = origin_s;
    const auto position = line_.begin() + static_cast<std::ptrdiff_t>(place);
    enter_into(*line_.insert(position, member_at(&candidate, edge.time_s, origin_s)), edge, mark);
}

bool ConveyorCycle::is_second_stun(std::size_t place, double running_s) const {
    if (place == 0) return false;
    const double since_stun_s = running_s - line_[place - 1].at_s[kStun];
    if (since_stun_s > state_.settings.after_stun_s) return false;
    if (place == line_.size()) return true;
    if (stun_interval_.size() >= kEnoughIntervals) return since_stun_s <= stun_interval_.median() / 2;
    return since_stun_s < line_[place].origin_s + travel_[kStun].expected_s() - running_s;
}

// The stun just now that was too early for everyone was the one's at `place`, and here is its second. What
// was said of the time between stays: its passage has this one only.
bool ConveyorCycle::was_its_stun(std::size_t place, double running_s) const {
    return place > 0 && line_[place - 1].entry_lost && line_[place].stun_doubted &&
           is_second_stun(place, running_s);
}

void ConveyorCycle::take_unfitting_stun(const Edge& edge, std::size_t place) {
    const double running_s = state_.stops.running_s(edge.time_s);
    const bool again = is_second_stun(place, running_s);
    if (again) {
        state_.stun(*line_[place - 1].animal, edge);
        count_.add(HeadCount::kStun, running_s);
        return;
    }
    if (line_.empty() && !travel_[kStun].known()) {
        state_.stray(edge, "no animal in the restrainer");
        return;
    }
    Animal& uncounted = state_.begin(edge.time_s);
    flag(uncounted.passage, "entered_missing");
    // What it said before its stun went to its neighbours: it must not pass for a quiet animal.
    if (uncounted.passage.excluded.empty()) uncounted.passage.excluded = "entry_not_seen";
    Member member = member_at(&uncounted, edge.time_s, running_s);
    member.entry_lost = true;
    member.tag = count_.begin(uncounted);
    count_.add(HeadCount::kStun, running_s, member.tag);
    if (place < line_.size()) {
        member.origin_s = line_[place].origin_s;
        line_[place].stun_doubted = true;
    }
    uncounted.line_place = std::nextafter(member.origin_s, -kNotDue); // ahead of that one
    member.at_s[kStun] = running_s;
    line_.insert(line_.begin() + static_cast<std::ptrdiff_t>(place), member);
    state_.stun(uncounted, edge);
    remember(stuns_s_, running_s);
}

void ConveyorCycle::take_released(const Edge& edge) {
    if (line_.empty()) {
        state_.stray(edge, "no animal in the restrainer");
        return;
    }
    const double running_s = state_.stops.running_s(edge.time_s);
    const bool unstunned = state_.stun_wired() && !line_.front().has(kStun);
    const bool fits = unstunned ? release_unstunned(edge) : release_in_turn(edge);
    // Whose it was if not theirs, all edges together may tell.
    const char* const why = "no animal in line was due at the release";
    count_.add(HeadCount::kRelease, running_s, fits ? 0 : count_.doubt(edge, why));
}

bool ConveyorCycle::release_in_turn(const Edge& edge) {
    const double running_s = state_.stops.running_s(edge.time_s);
    const auto begin_s = [&](const Member& m) { return state_.stun_wired() ? m.at_s[kStun] : m.origin_s; };
    std::optional<double> next_s;
    if (line_.size() > 1 && !std::isnan(begin_s(line_[1]))) next_s = running_s - begin_s(line_[1]);
    const auto pick = release_travel_.pick(running_s - begin_s(line_.front()), next_s);
    if (pick == TravelTime::Pick::kOldest) {
        const auto& begins_s = state_.stun_wired() ? stuns_s_ : entries_s_;
        release_travel_.learn(lags_of(begins_s, begin_s(line_.front()), running_s));
    } else {
        release_travel_.misfit(false);
    }
    if (pick == TravelTime::Pick::kNobody) return false;
    if (pick == TravelTime::Pick::kNext) leave(0, edge.time_s, End::kPassedBy);
    leave(0, edge.time_s, End::kReleased);
    return true;
}

// The stun of the oldest was missed, or of one behind it that fits much better, if it is released when it
// should be. Just before its stun it is not: somebody else was.
bool ConveyorCycle::release_unstunned(const Edge& edge) {
    if (line_.front().animal->candidate) {
        leave(0, edge.time_s, End::kPassedBy);
        return false;
    }
    const TravelTime& travel = travel_[kStun];
    if (travel.known()) {
        const double running_s = state_.stops.running_s(edge.time_s);
        const double from_stun_s = release_travel_.known() ? release_travel_.expected_s() : 0.0;
        const auto late_s = [&](const Member& member) {
            return running_s - member.origin_s - travel.expected_s() - from_stun_s;
        };
        if (late_s(line_.front()) < -travel.tolerance_s()) return false;
        while (line_.size() > 1 && late_s(line_.front()) > travel.tolerance_s() &&
               std::abs(late_s(line_[1])) < travel.tolerance_s()) {
            leave(0, edge.time_s, End::kPassedBy);
        }
    }
    leave(0, edge.time_s, End::kReleased);
    return true;
}

void ConveyorCycle::leave(std::size_t place, double time_s, End why) {
    const Member& member = line_[place];
    Animal& animal = *member.animal;
    if (animal.candidate) {
        state_.drop(animal);
    } else {
        const bool stunned = state_.stun_wired() ? animal.has_stun() : why == End::kReleased;
        state_.end(animal, time_s, why);
        count_.left(member.tag, stunned && !member.entry_lost);
    }
    line_.erase(line_.begin() + static_cast<std::ptrdiff_t>(place));
}

double ConveyorCycle::due_s(const Member& member) const {
    if (member.animal->has_stun() && !state_.wired(Role::kReleased)) {
        return member.animal->last_stun_s + state_.settings.after_stun_s;
    }
    return state_.too_long_at_s(member.since_s, member.stood_s);
}

double ConveyorCycle::next_due_s() const {
    // With nobody in line any more nothing follows that could tell more.
    if (line_.empty() && count_.waits()) return last_edge_s_ + state_.settings.after_stun_s;
    double next_s = kNotDue;
    for (const Member& member : line_) next_s = std::min(next_s, due_s(member));
    return next_s;
}

void ConveyorCycle::fire(double due_s) {
    if (line_.empty()) {
        settle_count(due_s, true);
        return;
    }
    const auto member =
        std::find_if(line_.begin(), line_.end(), [&](const Member& m) { return this->due_s(m) <= due_s; });
    const bool left_after_stun = member->has(kStun) && !state_.wired(Role::kReleased);
    leave(static_cast<std::size_t>(member - line_.begin()), due_s,
          left_after_stun ? End::kAfterStun : End::kTooLong);
    last_edge_s_ = due_s;
}

void ConveyorCycle::finish(double time_s) {
    while (!line_.empty()) leave(0, time_s, End::kInput);
    settle_count(time_s, true);
}

void ConveyorCycle::settle_count(double time_s, bool all) {
    const auto travel = [](const TravelTime& learned) {
        return learned.known() ? Travel{learned.expected_s(), learned.spread_s()} : Travel{};
    };
    HeadCount::Knowledge knowledge{travel(travel_[kStun]), travel(release_travel_)};
    if (entry_interval_.size() >= kEnoughIntervals) knowledge.gap_s = entry_interval_.median();
    count_.settle(time_s, state_.stops.running_s(time_s), knowledge, all);
}

double ConveyorCycle::placeable_until_s(double known_s) const {
    const double decided_s = state_.stun_wired() ? known_s - state_.settings.at_stun_s : known_s;
    return std::min(decided_s, state_.book.earliest_candidate_s());
}

Cycle::Place ConveyorCycle::place(double onset_s, MicrophoneZone zone) const {
    const double at_stun_s = state_.settings.at_stun_s;
    const Animal* newest = nullptr;
    const Animal* nearest = nullptr;
    const Animal* stunned_last = nullptr;
    state_.book.visit_at(onset_s, [&](const Animal& animal) {
        if (!newest || animal.line_place >= newest->line_place) newest = &animal;
        if (!animal.has_stun() || onset_s <= animal.passage.stunned_s + at_stun_s) {
            if (!nearest || animal.line_place < nearest->line_place) nearest = &animal;
        } else if (!stunned_last || animal.passage.stunned_s >= stunned_last->passage.stunned_s) {
            stunned_last = &animal;
        }
    });
    if (!newest) return {};
    const auto placed = [&](const Animal& animal, const char* reason) {
        Cycle::Place place;
        place.passage_id = animal.passage.id;
        place.phase = phase_at(animal, onset_s, at_stun_s);
        place.passage_entered_s = animal.passage.entered_s;
        place.reason = reason;
        return place;
    };
    if (zone == MicrophoneZone::kEntry) return placed(*newest, "the animal that entered last");
    if (nearest) {
        Cycle::Place place = placed(*nearest, "the animal nearest the stun");
        if (stunned_last) {
            place.or_stunned_id = stunned_last->passage.id;
            place.or_stunned_entered_s = stunned_last->passage.entered_s;
        }
        return place;
    }
    return placed(*stunned_last, "the animal stunned last, with nobody behind it in line");
}

} // namespace quietpass
