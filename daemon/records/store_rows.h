// What goes into the record store: one plain struct a row. Times are station seconds; `utc` is how they map
// to UTC at that moment, absent when files without a date are scored. FORMATS.md has the tables.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "daemon/capture/gap.h"
#include "daemon/contacts/edge.h"
#include "daemon/health/microphone_minute.h"
#include "daemon/passages/passage.h"
#include "daemon/passages/station_call.h"
#include "daemon/passages/station_noise.h"
#include "daemon/records/station_utc.h"
#include "daemon/settings/level_reference.h"

namespace quietpass {

struct ShiftOpened {
    std::int64_t shift_id = 0; // given by StoreWriter::open_shift
    std::string station;
    Species species = Species::kCattle;
    std::string timezone;
    std::string name;
    double start_s = 0.0;
    std::optional<StationUtc> utc;
};

// The shift was heard until here: how far a killed run got. Post one every few seconds.
struct ShiftHeard {
    std::int64_t shift_id = 0;
    double until_s = 0.0;
    std::optional<StationUtc> utc;
};

struct ShiftClosed {
    std::int64_t shift_id = 0;
    double end_s = 0.0;
    std::optional<StationUtc> utc;
    std::string record_json; // the bytes of shift.json
};

struct CallRow {
    std::int64_t shift_id = 0;
    Species species = Species::kCattle;
    StationCall call;
    std::optional<StationUtc> utc;
};

struct PassageRow {
    std::int64_t shift_id = 0;
    Passage passage;
    std::optional<StationUtc> utc;
};

struct GapRow {
    std::int64_t shift_id = 0;
    Gap gap;
    std::optional<StationUtc> utc;
};

struct EdgeRow {
    std::int64_t shift_id = 0;
    Edge edge;
    std::optional<StationUtc> utc;
};

// An input that can't be right: stuck, chattering, out of order.
struct ContactFaultRow {
    std::int64_t shift_id = 0;
    double time_s = 0.0;
    std::string contact;
    std::string fault;  // one word
    std::string detail; // one line
    std::optional<StationUtc> utc;
};

// A microphone that the shift listens with, and what its levels refer to; posted when the shift opens.
struct MicrophoneRow {
    std::int64_t shift_id = 0;
    std::string name;
    std::optional<LevelReference> reference; // none: re full scale
};

// A microphone's health over a minute.
struct MinuteRow {
    std::int64_t shift_id = 0;
    MicrophoneMinute minute;
    std::optional<StationUtc> utc;
};

struct NoiseRow {
    std::int64_t shift_id = 0;
    StationNoise noise;
    std::optional<StationUtc> utc;
};

// A change of an alarm's state, or a message of it (daemon/alarms/alarm_book.h). Ids of passages and calls
// are of the run that was under way.
struct AlarmEventRow {
    std::string id;            // unique: a repeated write changes nothing
    std::int64_t event_id = 0; // given by the store, in order of writing
    std::int64_t alarm_id = 0;
    std::string cause;
    std::string source;
    std::string event; // raised, again, acknowledged, cleared
    std::int64_t utc_ns = 0;
    std::string by; // a person's name; empty: the machine
    std::string severity;
    std::int64_t count = 0;
    bool told = false; // a message of it was handed to delivery
    std::optional<std::int64_t> passage_id;
    std::optional<std::int64_t> call_id;
    std::string what; // one line, what was seen
};

// A wish: the station signs all that was recorded so far. Nothing happens in a store without a signer.
struct SignHead {
    std::string why; // as in table heads
};

using StoreRow = std::variant<ShiftOpened, ShiftHeard, ShiftClosed, CallRow, PassageRow, GapRow, EdgeRow,
                              ContactFaultRow, MicrophoneRow, MinuteRow, AlarmEventRow, NoiseRow, SignHead>;

// A shift as the store has it.
struct StoredShift {
    std::int64_t shift_id = 0;
    std::string station;
    Species species = Species::kCattle;
    std::string timezone;
    std::string name;
    double start_s = 0.0;
    std::optional<std::int64_t> start_utc_ns;
    std::optional<double> heard_until_s; // the last ShiftHeard
    std::optional<std::int64_t> heard_until_utc_ns;
    std::optional<double> end_s; // empty: still open
    std::optional<std::int64_t> end_utc_ns;
    std::string record_json; // empty: still open
};

// All of a shift, each list in the order its CSV has.
struct ShiftRows {
    StoredShift shift;
    std::vector<Passage> passages;
    std::vector<StationCall> calls;
    std::vector<Gap> gaps;
    std::vector<Edge> edges;
    std::vector<ContactFaultRow> contact_faults;
    std::vector<MicrophoneRow> microphones; // in the station file's order
    std::vector<MicrophoneMinute> minutes;  // by microphone's name, then time
    std::vector<StationNoise> noises;       // without passage_entered_s
    // The latest time in any row or ShiftHeard: how far a killed run is known to have got.
    double known_until_s = 0.0;
};

} // namespace quietpass
