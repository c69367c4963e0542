// A made-up shift of a conveyor, deterministic by seed: who went through it, and the edges its contacts gave,
// some lost and some doubled. Times are station seconds; the line's stops are already in them.
#pragma once

#include <cstdint>
#include <map>
#include <vector>

#include "daemon/contacts/edge.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

struct ConveyorShift {
    struct Plan {
        int animals = 2000;
        double lost_entries = 0.005; // shares of animals
        double lost_stuns = 0.005;
        double double_entries = 0.01; // 0.1 to 3 s after the first: some within shortest_s, some not
        double second_stuns = 0.01;   // 1 to 3 s after the first
        double lost_releases = 0.0;
        double double_releases = 0.0;            // 0.1 to 3 s after the first
        double gap_least_s = 8, gap_most_s = 14; // from entry to entry
        double travel_s = 40, travel_spread_s = 1.5;
        int animals_a_lot = 400;    // the line runs empty after each
        int animals_a_stop = 70;    // the line stops once for so many
        double calling = 0.3;       // share of animals that call in each zone
        bool first_doubled = false; // the very first animal is counted twice, 3 s apart
    };

    ConveyorShift(const Plan& plan, std::uint32_t seed);

    std::vector<Edge> edges;                // in time order
    std::map<double, double> entry_of_stun; // for each animal whose entry and stun were both seen
    struct Animal {
        double entered_s, stunned_s, released_s;
    };
    std::vector<Animal> animals; // all of them, seen or not
    // Calls, each heard by the microphone of the zone its animal was in: within 6 s of its entry, or in the 6
    // s before its stun.
    struct Call {
        double onset_s;
        MicrophoneZone zone;
        double entered_s; // of the animal that called
        double stunned_s;
    };
    std::vector<Call> calls; // in order of onset
    double end_s = 0.0;
};

} // namespace quietpass
