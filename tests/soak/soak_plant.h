// The plant around the daemon: what `run` asks of the computer (RunInputs), with the month's plan played on
// it. The faults of the plan begin and end here, as the clock passes them.
//
// One thread drives it: the daemon's, from within the microphone's next().
#pragma once

#include <SQLiteCpp/Database.h>

#include <array>
#include <deque>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "daemon/commands/run_inputs.h"
#include "tests/soak/plan.h"
#include "tests/soak/receiver.h"
#include "tests/soak/soak_clock.h"
#include "tests/soak/soak_microphone.h"
#include "tests/soak/troubled_files.h"

namespace quietpass::soak {

// From the opening of the microphone to its end: one station time.
struct Session {
    double opened_s = 0.0;          // world
    std::int64_t shifts_before = 0; // the highest shift_id then
    StationTimes times;
};

class SoakPlant final : public RunInputs {
  public:
    // out: the folder of the records. station_file: what reload faults break and mend.
    SoakPlant(const Plan& plan, const std::vector<Reel*>& reels, std::filesystem::path out,
              std::filesystem::path station_file, std::int64_t zero_utc_ns, std::uint64_t seed);
    ~SoakPlant() override;

    // Once at the end of each day of work, while the daemon runs and all faults are over.
    std::function<void(std::size_t day)> on_day_end;

    // The station file as it should be.
    void set_station(const std::string& text);
    SoakClock& plant_clock() { return clock_; }
    Receiver& receiver() { return receiver_; }
    int acknowledged() const { return acknowledged_; } // alarms, by the foreman
    const std::deque<Session>& sessions() const { return sessions_; }
    const std::array<int, kFaultKinds>& injected() const { return injected_; }
    // A crash is due at this time; infinity: none.
    void crash_at(double world_s) { crash_s_ = world_s; }
    // The store has what happened until a minute before now, or this throws Failure.
    void await_written();

    const Clock& clock() const override { return clock_; }
    const Clock& receivers_clock() const override { return clock_; }
    Files& files() override { return files_; }
    RunMicrophones open_microphones(const StationSettings& settings) override;
    LiveSources open_contacts(const StationSettings& settings) override;

  private:
    void time_is(double world_s);
    void foreman_looks();
    void begin(const Fault& fault);
    void end(const Fault& fault);

    const Plan& plan_;
    std::filesystem::path out_;
    std::filesystem::path station_file_;
    std::string station_text_; // as it should be
    std::uint64_t seed_;
    SoakClock clock_;
    PlantSound sound_;
    TroubledFiles files_;
    Receiver receiver_;
    ScriptedSource* contacts_ = nullptr;
    std::deque<Session> sessions_; // a microphone writes into the last one's times
    std::size_t next_fault_ = 0;
    const Fault* under_way_ = nullptr;
    std::size_t next_day_ = 0;
    double foreman_due_s_ = 0.0;
    int acknowledged_ = 0;
    double crash_s_;
    std::array<int, kFaultKinds> injected_{};
    std::unique_ptr<SQLite::Database> holder_; // of the store, while it is locked
    std::int64_t held_since_ns_ = 0;           // real time
};

} // namespace quietpass::soak
