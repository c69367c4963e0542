#include "tests/passages/conveyor_shift.h"

#include <algorithm>
#include <random>

namespace quietpass {

namespace {

class Dice {
  public:
    explicit Dice(std::uint32_t seed) : bits_(seed) {}
    double between(double least, double most) {
        return least + (most - least) * static_cast<double>(bits_()) / 4294967296.0;
    }
    bool happens(double chance) { return between(0, 1) < chance; }
    // Nearly normal with standard deviation 1: the same on every machine, as std::normal_distribution is not.
    double normal() {
        double sum = -6;
        for (int i = 0; i < 12; ++i) sum += between(0, 1);
        return sum;
    }

  private:
    std::mt19937 bits_;
};

struct Stop {
    double running_s;
    double lasts_s;
};

} // namespace

ConveyorShift::ConveyorShift(const Plan& plan, std::uint32_t seed) {
    Dice dice(seed);
    std::vector<Stop> stops;
    double entered_s = 0, stunned_s = 0, released_s = 0;
    struct Seen {
        double entered_s, stunned_s;
    };
    std::vector<Seen> seen;
    // Of their own, so that the other edges are the same whoever calls and is released.
    Dice voices(seed + 1000);
    Dice releases(seed + 2000);
    const auto add = [&](double running_s, Role role) {
        edges.push_back({running_s, role, true});
        edges.push_back({running_s + 0.05, role, false});
    };
    for (int i = 0; i < plan.animals; ++i) {
        entered_s += dice.between(plan.gap_least_s, plan.gap_most_s);
        if (i > 0 && i % plan.animals_a_lot == 0) entered_s += 1200;
        // Nobody overtakes, and each takes its time at the stun.
        stunned_s = std::max(entered_s + plan.travel_s + plan.travel_spread_s * dice.normal(), stunned_s + 3);
        released_s = std::max(stunned_s + 12 + dice.normal(), released_s + 2);
        const bool entry_lost = dice.happens(plan.lost_entries);
        const bool stun_lost = dice.happens(plan.lost_stuns);
        if (!entry_lost) add(entered_s, Role::kEntered);
        if (!entry_lost && dice.happens(plan.double_entries))
            add(entered_s + dice.between(0.1, 3), Role::kEntered);
        if (i == 0 && plan.first_doubled) add(entered_s + 3, Role::kEntered);
        if (!stun_lost) add(stunned_s, Role::kStunned);
        if (!stun_lost && dice.happens(plan.second_stuns))
            add(stunned_s + dice.between(1, 3), Role::kStunned);
        if (!releases.happens(plan.lost_releases)) {
            add(released_s, Role::kReleased);
            if (releases.happens(plan.double_releases))
                add(released_s + releases.between(0.1, 3), Role::kReleased);
        }
        if (!entry_lost && !stun_lost) seen.push_back({entered_s, stunned_s});
        animals.push_back({entered_s, stunned_s, released_s});
        if (voices.happens(plan.calling)) {
            calls.push_back(
                {entered_s + voices.between(0.2, 6), MicrophoneZone::kEntry, entered_s, stunned_s});
        }
        if (voices.happens(plan.calling)) {
            calls.push_back({stunned_s - voices.between(0, 6), MicrophoneZone::kStun, entered_s, stunned_s});
        }
        if (i % plan.animals_a_stop == plan.animals_a_stop / 2) {
            stops.push_back({entered_s + dice.between(0.5, 7), dice.between(20, 180)});
        }
    }
    const auto station_s = [&](double running_s) {
        double time_s = running_s;
        for (const Stop& stop : stops) {
            if (stop.running_s < running_s) time_s += stop.lasts_s;
        }
        return time_s;
    };
    for (Edge& edge : edges) edge.time_s = station_s(edge.time_s);
    for (const Stop& stop : stops) {
        edges.push_back({station_s(stop.running_s), Role::kStopped, true});
        edges.push_back({station_s(stop.running_s) + stop.lasts_s, Role::kStopped, false});
    }
    std::stable_sort(edges.begin(), edges.end(),
                     [](const Edge& a, const Edge& b) { return a.time_s < b.time_s; });
    for (const Seen& animal : seen) entry_of_stun[station_s(animal.stunned_s)] = station_s(animal.entered_s);
    for (Animal& animal : animals) {
        for (double* time_s : {&animal.entered_s, &animal.stunned_s, &animal.released_s}) {
            *time_s = station_s(*time_s);
        }
    }
    for (Call& call : calls) {
        for (double* time_s : {&call.onset_s, &call.entered_s, &call.stunned_s}) *time_s = station_s(*time_s);
    }
    std::stable_sort(calls.begin(), calls.end(),
                     [](const Call& a, const Call& b) { return a.onset_s < b.onset_s; });
    end_s = station_s(released_s) + 400;
}

} // namespace quietpass
