// The microphone of the soak: what PortAudioSource does with a device, on the plant's clock. Packets of
// sound, with what the ring and the sound system say of losses, go through the daemon's own LossFinder.
//
// next() is how time passes: it moves the clock on to the packet or to the deadline, and tells `on_time` of
// each move. A crossed crash throws Crash. One thread.
#pragma once

#include <functional>
#include <utility>
#include <vector>

#include "daemon/capture/audio_source.h"
#include "daemon/capture/loss_finder.h"
#include "tests/scenario/random.h"
#include "tests/soak/plant_sound.h"
#include "tests/soak/soak_clock.h"

namespace quietpass::soak {

struct Crash {};

// Where a session's station seconds lie in the world, a pair now and then; straight between them.
class StationTimes {
  public:
    void add(double station_s, double world_s) { pairs_.emplace_back(station_s, world_s); }
    double world_s(double station_s) const;
    bool empty() const { return pairs_.empty(); }

  private:
    std::vector<std::pair<double, double>> pairs_;
};

class SoakMicrophone final : public AudioSource {
  public:
    using OnTime = std::function<void(double world_s)>;

    // drift_ppm: how much slower its clock runs than the plant's. All must outlive it.
    SoakMicrophone(SoakClock& clock, PlantSound& sound, const Plan& plan, StationTimes& times,
                   double drift_ppm, std::uint64_t seed, OnTime on_time);

    int channels() const override { return 1; }
    double sample_rate_hz() const override { return Reel::kRate_hz; }
    bool next(Stretch& stretch, std::int64_t deadline_ns) override;
    const ClockFit* clock_fit() const override { return &finder_.fit(); }

  private:
    const Fault* fault_at(double time_s);
    bool there(double time_s);
    void lose(const Fault& fault, CapturedPacket& packet);
    void take_packet();
    void go_to(double world_s);
    void note_time(double world_s);

    SoakClock& clock_;
    PlantSound& sound_;
    const Plan& plan_;
    StationTimes& times_;
    double s_per_frame_;
    scenario::Random random_;
    OnTime on_time_;
    LossFinder finder_;
    double opened_s_;
    double packet_start_s_;
    double packet_due_s_ = 0.0;
    double gone_since_s_ = -1.0; // −1: it is there
    bool told_gone_ = false;
    double back_s_ = 0.0;
    double note_due_s_ = 0.0;
    std::size_t fault_ = 0;
    std::size_t loss_ = 0; // faults before this one have lost their samples
};

} // namespace quietpass::soak
