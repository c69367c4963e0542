// The live sources of a station's contacts, one for each device named in the station file.
#pragma once

#include <cstddef>
#include <memory>
#include <vector>

#include "daemon/clock.h"
#include "daemon/contacts/contact_source.h"
#include "daemon/contacts/gpio/gpio_source.h"
#include "daemon/contacts/line/line_source.h"
#include "daemon/contacts/modbus/modbus_source.h"
#include "daemon/contacts/mqtt/mqtt_source.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

struct LiveSources {
    std::vector<std::unique_ptr<ContactSource>> sources; // not started yet
    std::vector<std::size_t> source_of;                  // of each contact, for ContactInputs
};

// How often each kind of source is read, and how long it is waited for.
struct SourceTimings {
    ModbusTiming modbus = {};
    GpioTiming gpio = {};
    MqttTiming mqtt = {};
    LineTiming line = {};
};

// Throws Failure(2) for a contact without an input, for two settings of one serial port, and for a login
// that can't be read. Connects to nothing: that begins with start().
LiveSources live_sources(const StationSettings& settings, const Clock& clock,
                         const SourceTimings& timings = {});

} // namespace quietpass
