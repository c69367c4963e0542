#include "daemon/passages/head_count.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

namespace {

// A step of a reading: the edges of one animal, a bit each, or the second edge of one.
constexpr unsigned kEntryBit = 1, kStunBit = 2, kReleaseBit = 4, kAnyAnimal = 7;
constexpr unsigned kSteps = kAnyAnimal + HeadCount::kMarks;
constexpr unsigned kFirstSecond = kAnyAnimal + 1; // a second entry; then a second stun, a second release

// One edge in a hundred: −ln 0.01. Common practice, no source.
constexpr double kMissing = 4.6;
constexpr double kSecond = 4.6;
// Animals take up more of the line than this share of the usual distance to the next, and a second edge
// comes within it; beyond, either pays by this much for each whole distance. Common practice, no source;
// found to serve on made shifts with 8 to 18 s between animals.
constexpr double kCloseShare = 0.4;
constexpr double kFarSecond = 20.0;
// Animals may come closer to each other on their way: they wait at the stun.
constexpr std::array<double, HeadCount::kMarks> kTooClose = {25.0, 10.0, 10.0};
constexpr double kOverdue = 4.0;       // spreads
constexpr double kNormalUpTo = 3.0;    // spreads; beyond, odd times are less odd than the normal law has them
constexpr std::size_t kMostEdges = 96; // not settled, of a mark; more than a line holds

constexpr std::size_t kTimesRemembered = 128; // animals, for their travel time
constexpr int kMostIncomplete = 6;
// No animals travel more evenly than this: less says that few were seen. Common practice, no source.
constexpr double kLeastSpreadShare = 0.05;

double oddness(double travel_s, const Travel& travel) {
    if (std::isnan(travel.expected_s)) return 0.0;
    const double spread_s = std::max(travel.spread_s, kLeastSpreadShare * travel.expected_s);
    const double spreads = std::abs(travel_s - travel.expected_s) / spread_s;
    if (spreads <= kNormalUpTo) return spreads * spreads / 2;
    return kNormalUpTo * (spreads - kNormalUpTo / 2);
}

Travel together(const Travel& one, const Travel& other) {
    return {one.expected_s + other.expected_s, std::hypot(one.spread_s, other.spread_s)};
}

double known_or_0(double value) {
    return std::isnan(value) ? 0.0 : value;
}

bool reads(unsigned step, unsigned mark) {
    return step <= kAnyAnimal ? (step >> mark & 1u) != 0 : step - kFirstSecond == mark;
}

} // namespace

double HeadCount::since_previous_s(Mark mark, std::size_t index) const {
    const double previous_s = index > 0 ? edges_[mark][index - 1].running_s : settled_s_[mark];
    return edges_[mark][index].running_s - previous_s;
}

double HeadCount::animal_cost(unsigned step, const Place& place, double running_s,
                              const Knowledge& knowledge) const {
    std::array<double, kMarks> at_s{};
    double cost = 0.0;
    for (unsigned mark = 0; mark < kMarks; ++mark) {
        if (!reads(step, mark)) continue;
        at_s[mark] = edges_[mark][place[mark]].running_s;
        const double share = since_previous_s(static_cast<Mark>(mark), place[mark]) / knowledge.gap_s;
        if (share < kCloseShare) cost += kTooClose[mark] * (kCloseShare - share);
    }
    const bool entry = (step & kEntryBit) != 0, stun = (step & kStunBit) != 0,
               release = (step & kReleaseBit) != 0;
    // An edge that is still to come is not missing. It does not come any more where one behind had its own.
    const auto to_come = [&](Mark mark, const Travel& travel, double since_s) {
        if (place[mark] < edges_[mark].size()) return false;
        return std::isnan(travel.expected_s) ||
               running_s <= since_s + travel.expected_s + kOverdue * travel.spread_s;
    };
    if (!entry) cost += kMissing;
    if (wired_[kStun] && !stun && (release || !to_come(kStun, knowledge.to_stun, at_s[kEntry])))
        cost += kMissing;
    if (wired_[kRelease] && !release) {
        const Travel to_release =
            stun || !wired_[kStun] ? knowledge.to_release : together(knowledge.to_stun, knowledge.to_release);
        if (!to_come(kRelease, to_release, stun ? at_s[kStun] : at_s[kEntry])) cost += kMissing;
    }
    const auto pair = [&](Mark from, Mark to, const Travel& travel) {
        const double travel_s = at_s[to] - at_s[from];
        cost += travel_s < 0 ? kFar_s : oddness(travel_s, travel);
    };
    if (entry && stun) pair(kEntry, kStun, knowledge.to_stun);
    if (stun && release) pair(kStun, kRelease, knowledge.to_release);
    if (entry && release && !stun) {
        pair(kEntry, kRelease,
             wired_[kStun] ? together(knowledge.to_stun, knowledge.to_release) : knowledge.to_release);
    }
    return cost;
}

double HeadCount::cost_of(unsigned step, const Place& place, double running_s,
                          const Knowledge& knowledge) const {
    if (step <= kAnyAnimal) return animal_cost(step, place, running_s, knowledge);
    const unsigned mark = step - kFirstSecond;
    const double apart_s = since_previous_s(static_cast<Mark>(mark), place[mark]);
    if (apart_s > kFar_s / 2) return kFar_s; // there was none before
    return kSecond + kFarSecond * std::max(0.0, known_or_0(apart_s / knowledge.gap_s) - kCloseShare);
}

std::vector<unsigned> HeadCount::likeliest_steps(double running_s, const Knowledge& knowledge) const {
    const Place all_read = {edges_[kEntry].size(), edges_[kStun].size(), edges_[kRelease].size()};
    const auto index_of = [&](const Place& place) {
        return (place[0] * (all_read[1] + 1) + place[1]) * (all_read[2] + 1) + place[2];
    };
    std::vector<double> costs(index_of(all_read) + 1, std::numeric_limits<double>::infinity());
    std::vector<std::uint8_t> came_by(costs.size(), 0);
    costs[0] = 0.0;
    Place place{};
    for (place[0] = 0; place[0] <= all_read[0]; ++place[0]) {
        for (place[1] = 0; place[1] <= all_read[1]; ++place[1]) {
            for (place[2] = 0; place[2] <= all_read[2]; ++place[2]) {
                const double cost = costs[index_of(place)];
                for (unsigned step = 1; step <= kSteps; ++step) {
                    Place next = place;
                    bool there = true;
                    for (unsigned mark = 0; mark < kMarks; ++mark) {
                        next[mark] += reads(step, mark) ? 1 : 0;
                        there = there && next[mark] <= all_read[mark];
                    }
                    if (!there) continue;
                    const double total = cost + cost_of(step, place, running_s, knowledge);
                    if (total >= costs[index_of(next)]) continue;
                    costs[index_of(next)] = total;
                    came_by[index_of(next)] = static_cast<std::uint8_t>(step);
                }
            }
        }
    }
    std::vector<unsigned> steps;
    for (place = all_read; index_of(place) > 0;) {
        steps.push_back(came_by[index_of(place)]);
        for (unsigned mark = 0; mark < kMarks; ++mark) place[mark] -= reads(steps.back(), mark) ? 1 : 0;
    }
    std::reverse(steps.begin(), steps.end());
    return steps;
}

double HeadCount::entry_of(unsigned step, const Place& place, const Knowledge& knowledge) const {
    const double to_stun_s = known_or_0(knowledge.to_stun.expected_s);
    const std::array<double, kMarks> since_entry_s = {
        0.0, to_stun_s, to_stun_s + known_or_0(knowledge.to_release.expected_s)};
    for (unsigned mark = 0; mark < kMarks; ++mark) {
        if (reads(step, mark)) return edges_[mark][place[mark]].running_s - since_entry_s[mark];
    }
    return kFar_s;
}

void HeadCount::add(Mark mark, double running_s, Tag tag) {
    edges_[mark].push_back({running_s, tag});
    last_s_[mark].push_back(running_s);
    if (last_s_[mark].size() <= kTimesRemembered) return;
    last_s_[mark].pop_front();
    forgotten_ = true;
}

void HeadCount::find_travel(const Knowledge& begin_at) {
    const auto find = [&](Travel& travel, Mark from, Mark to, const Travel& begin) {
        const double about_s = std::isnan(travel.expected_s) ? begin.expected_s : travel.expected_s;
        travel = found_travel(last_s_[from], last_s_[to], about_s, begin_at.gap_s, forgotten_);
    };
    if (wired_[kStun]) find(to_stun_, kEntry, kStun, begin_at.to_stun);
    if (wired_[kRelease]) find(to_release_, wired_[kStun] ? kStun : kEntry, kRelease, begin_at.to_release);
}

bool HeadCount::travel_known() const {
    return !(wired_[kStun] && std::isnan(to_stun_.expected_s)) &&
           !(wired_[kRelease] && std::isnan(to_release_.expected_s));
}

double HeadCount::through_s() const {
    return known_or_0(to_stun_.expected_s) + known_or_0(to_release_.expected_s) +
           kOverdue * (known_or_0(to_stun_.spread_s) + known_or_0(to_release_.spread_s));
}

// Several are read at once: it costs the same.
bool HeadCount::time_to_read(double running_s, const Knowledge& knowledge) const {
    double first_s = kFar_s;
    for (unsigned mark = 0; mark < kMarks; ++mark) {
        if (!edges_[mark].empty())
            first_s = std::min(first_s, entry_of(1u << mark, {}, {to_stun_, to_release_, 0.0}));
    }
    return first_s < running_s - through_s() - 4 * known_or_0(knowledge.gap_s);
}

// Where most animals seem to miss an edge, they travel differently now: what was learned is forgotten.
void HeadCount::judge_incomplete(unsigned step) {
    const unsigned whole = kEntryBit | (wired_[kStun] ? kStunBit : 0) | (wired_[kRelease] ? kReleaseBit : 0);
    incomplete_ = step == whole ? std::max(0, incomplete_ - 1) : incomplete_ + 1;
    if (incomplete_ <= kMostIncomplete) return;
    incomplete_ = 0;
    to_stun_ = to_release_ = {};
    for (auto& times_s : last_s_) times_s.clear();
    forgotten_ = true;
}

std::vector<HeadCount::Found> HeadCount::settle(double running_s, Knowledge knowledge, bool all) {
    std::vector<Found> found;
    if (empty()) return found;
    const bool full =
        std::any_of(edges_.begin(), edges_.end(), [](const auto& seen) { return seen.size() > kMostEdges; });
    if (!all && !full && !time_to_read(running_s, knowledge)) return found;
    find_travel(knowledge);
    if (!all && !full && !travel_known()) return found;
    if (!std::isnan(to_stun_.expected_s)) knowledge.to_stun = to_stun_;
    if (!std::isnan(to_release_.expected_s)) knowledge.to_release = to_release_;
    const double settled_s = running_s - through_s() - 2 * known_or_0(knowledge.gap_s);

    Place place{};
    for (const unsigned step : likeliest_steps(running_s, knowledge)) {
        const bool forced = full && found.size() < kMostEdges / 2;
        if (!all && !forced && entry_of(step, place, knowledge) >= settled_s) break;
        Found one;
        one.animal = step <= kAnyAnimal;
        if (one.animal) judge_incomplete(step);
        for (unsigned mark = 0; mark < kMarks; ++mark) {
            if (reads(step, mark)) one.tags[mark] = edges_[mark][place[mark]++].tag;
        }
        found.push_back(one);
    }
    for (unsigned mark = 0; mark < kMarks; ++mark) {
        auto& seen = edges_[mark];
        if (place[mark] > 0) settled_s_[mark] = seen[place[mark] - 1].running_s;
        seen.erase(seen.begin(), seen.begin() + static_cast<std::ptrdiff_t>(place[mark]));
    }
    return found;
}

} // namespace quietpass
