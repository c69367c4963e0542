// One microphone of a Station: its ear, its health and, where it helps to tell whose a call is, the last
// seconds of its sound. Its own times are seconds of its sample clock; all that it is asked for and all that
// it gives here is station seconds.
//
// Pure, not thread-safe; hear() of different microphones may run on different threads.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <span>

#include "classifiers/ear.h"
#include "classifiers/profile.h"
#include "daemon/gap_log.h"
#include "daemon/health/microphone_watch.h"
#include "daemon/hearing/sound_memory.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

class StationMicrophone {
  public:
    // profile: null for a species that is never scored.
    StationMicrophone(const MicrophoneSettings& settings, double sample_rate_hz, const Profile* profile,
                      const HealthSettings& health);

    void keep_sound(double longest_s);

    void hear(std::span<const float> samples);
    // Returns where the loss began.
    double lose(std::int64_t count);
    void finish();

    // False when there is none. Levels are re full scale: sensitivity_db() is still to be added.
    bool take(HeardCall& out);
    bool take(HeardNoise& out);
    bool take_first_word(Ear::FirstWord& out);

    // Judges its health up to known_s (worked: whether the line worked at a station time) and files its
    // faults.
    void judge_health(double known_s, const std::function<bool(double)>& worked, GapLog& gaps);
    bool take(MicrophoneMinute& out);

    double heard_until_s() const { return static_cast<double>(samples_) / rate_hz_ + offset_s; }
    // Calls before this are all known.
    double calls_settled_until_s() const;
    // … and noises,
    double noises_settled_until_s() const;
    // … and faults too.
    double settled_until_s() const;

    const MicrophoneSettings& settings() const { return settings_; }
    SoundMemory* memory() { return memory_ ? &*memory_ : nullptr; }

    double offset_s = 0.0; // station time = its own time + offset_s

    // What makes its levels dB SPL; 0 before it was calibrated.
    double sensitivity_db() const {
        return settings_.reference ? settings_.reference->sensitivity_db_spl_fs : 0.0;
    }

  private:
    MicrophoneSettings settings_;
    double rate_hz_;
    std::int64_t samples_ = 0; // lost ones included
    std::optional<Ear> ear_;
    MicrophoneWatch health_;
    std::optional<SoundMemory> memory_;
};

} // namespace quietpass
