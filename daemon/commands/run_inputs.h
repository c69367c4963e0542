// What `run` asks of the computer: time, disk, microphones and contacts. The real ones here; a test that
// drives the whole daemon faster than time brings its own.
//
// What is opened is opened anew for each run of settings and is gone before the next is opened. Throws
// Failure where a device can't be opened. On the thread that drives the Station; the clocks from any.
#pragma once

#include <functional>
#include <memory>
#include <vector>

#include "daemon/capture/audio_source.h"
#include "daemon/clock.h"
#include "daemon/contacts/live_sources.h"
#include "daemon/records/files.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

struct RunMicrophones {
    std::shared_ptr<void> keeps;                       // what the sources need for as long as they live
    std::vector<std::unique_ptr<AudioSource>> sources; // in the station file's order
    std::function<bool()> hang;                        // only a restart of the process helps

    std::vector<double> rates_hz() const; // one a microphone
};

class RunInputs {
  public:
    virtual ~RunInputs() = default;
    virtual const Clock& clock() const = 0;           // the station's
    virtual const Clock& receivers_clock() const = 0; // of those that alarms are handed to
    virtual Files& files() = 0;
    virtual RunMicrophones open_microphones(const StationSettings& settings) = 0;
    virtual LiveSources open_contacts(const StationSettings& settings) = 0;
};

// This computer's. speed: how much faster than real time the station's clock goes; receivers live in real
// time, whatever the speed.
std::unique_ptr<RunInputs> computers_inputs(double speed);

} // namespace quietpass
