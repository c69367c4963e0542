// A record store of a station that does not exist, with whole shifts as a tally of their passages closes
// them. The same seed gives the same store. One thread.
#pragma once

#include <cstdint>
#include <filesystem>
#include <random>
#include <string>
#include <vector>

#include "daemon/records/store.h"
#include "daemon/settings/station_settings.h"
#include "daemon/shifts/tally.h"
#include "tests/contacts/simulated_clock.h"

namespace quietpass::test {

// Shares of animals, 0 … 1.
struct MadeShift {
    std::string name = "early";
    std::string start; // UTC, 2026-03-02T13:00:00Z
    int animals = 700;
    double every_s = 40.0;
    double vocal = 0.02;          // of those that nothing befell
    double vocal_when_long = 0.1; // held for long
    double vocal_when_prodded = 0.1;
    double held_long = 0.05; // 20 to 45 s instead of 5 to 12
    double prodded = 0.05;
    double second_stun = 0.01;
    double after_stun = 0.0;
    double not_heard = 0.01;
    double stop_s = 600.0; // the line stood, at the end
    double bangs = 0.0;    // a second before a call, of the vocal ones
};

class MadePlant {
  public:
    MadePlant(const std::filesystem::path& file, StationSettings settings, std::uint32_t seed);

    std::int64_t add(const MadeShift& shift); // closed
    std::int64_t open(const std::string& start);
    // From here on each shift that is added is signed as it closes, with a new key beside the store.
    void sign();

    void lots(const std::string& start, int count, double every_s);
    void change(const std::string& at, const std::string& part, const std::string& text,
                const std::string& by);
    // Ids of alarms rise; after_s of nothing: it didn't happen.
    void alarm(const std::string& cause, const std::string& source, const std::string& at, std::int64_t count,
               double acknowledged_after_s, const std::string& by, double cleared_after_s);
    // A person scores `animals` of a shift from the first on, and differs from the machine on `wrong`.
    void hand_audit(std::int64_t shift_id, const std::string& auditor, int animals, int wrong);

    Store& store() { return store_; }
    StationSettings settings;

  private:
    bool chance(double share);
    Passage passage_of(const MadeShift& shift, std::int64_t id, double entered_s);
    void add_call(std::vector<StoreRow>& rows, Tally& tally, std::int64_t shift_id, const Passage& passage,
                  Phase phase, bool bang, const StationUtc& utc);

    Store store_;
    SimulatedClock clock_; // of signatures
    std::mt19937 random_;
    std::int64_t calls_ = 0;
    std::int64_t alarms_ = 0;
};

// Stations with a box, a microphone and all contacts.
StationSettings cattle_box();
StationSettings pig_box();
StationSettings sheep_box();
StationSettings cutting_box(); // `cut` in place of `stunned`

// The stores that are looked at: a good and a bad cattle shift after weeks of others, a month of pigs.
void make_good_plant(const std::filesystem::path& file);
void make_bad_plant(const std::filesystem::path& file);
void make_pig_month(const std::filesystem::path& file);

} // namespace quietpass::test
