// One thing that happened at the station, as it goes from the daemon's loop to the page. Plain value; times
// are station seconds, utc is how they map to UTC at that moment.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>

#include "daemon/records/station_utc.h"
#include "daemon/records/store_rows.h"
#include "daemon/station_events.h"
#include "daemon/web/spectrum_bands.h"

namespace quietpass {

// How far the daemon's loop got, and the shift that is open.
struct LiveTurn {
    double heard_until_s = 0.0;
    std::string shift; // its name in the schedule
    double shift_start_s = 0.0;
};

struct LiveStop { // the line stood
    double start_s = 0.0;
    double end_s = 0.0;
};

// One microphone's sound while somebody listens; it is numbered as in the station file. Levels are re full
// scale.
struct LiveLevel { // of a second
    std::size_t microphone = 0;
    double start_s = 0.0;
    double end_s = 0.0;
    double level_db = 0.0;
};

struct LiveSpectrum { // of kColumn_s
    std::size_t microphone = 0;
    double start_s = 0.0;
    BandLevels levels_db{};
};

struct LiveEvent {
    std::int64_t shift_id = 0; // that it belongs to
    std::optional<StationUtc> utc;
    std::variant<LiveTurn, StationCall, Passage, Gap, LiveStop, Edge, PhaseNow, MicrophoneMinute,
                 AlarmEventRow, LiveLevel, LiveSpectrum>
        what;
};

} // namespace quietpass
