// Weeks and years of a station that never was, written fast into a real record store: shifts by the station
// file's plan, animals one after another with their edges, calls, bangs, prods and holds, gaps, alarms, lots,
// notes and a change in the middle that helps. Everything is invented, and the same seed gives the same
// history.
//
// The rows go through ShiftBook and StoreWriter as the daemon's do; the animals are made, not heard: nothing
// here says how well the ears work.
#pragma once

#include <cstdint>
#include <functional>
#include <string>

#include "daemon/records/store.h"
#include "daemon/settings/station_settings.h"
#include "daemon/shift_book.h"

namespace quietpass {

struct HistoryPlan {
    std::string first = "2026-01-05T00:00:00.000Z"; // UTC
    int days = 30;
    double animals_per_hour = 75.0; // while a shift works
    double vocal_share = 0.03;      // before the change
    double after_change = 0.5;      // what is left of it afterwards
    std::uint64_t seed = 1;
    bool edges = true; // each contact's; they are two thirds of the rows
};

// Told after each closed shift, with the passages so far.
using OnHistoryShift = std::function<void(std::int64_t passages)>;

// station: with a plan of shifts. Throws Failure when the store can't be written.
void make_history(const StationSettings& station, const Provenance& provenance, const HistoryPlan& plan,
                  Store store, const OnHistoryShift& on_shift);

} // namespace quietpass
