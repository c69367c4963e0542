// Rows as a station gives them, each different by its number, for the tests of the store.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/records/store.h"
#include "daemon/records/store_rows.h"

namespace quietpass {

// 2026-03-08T05:00:00Z, a clock 20 ppm off.
inline const StationUtc kSampleUtc{1772946000000000000, 1e9 + 20000.0};

inline ShiftOpened sample_shift(std::int64_t shift_id, const std::string& name = "early") {
    return {shift_id, "box-2", Species::kCattle, "America/Denver", name, 0.0, kSampleUtc};
}

inline Passage sample_passage(int number) {
    Passage passage;
    passage.id = number;
    passage.entered_s = 30.0 * number + 0.1; // 0.1 has no exact double: what comes back must be the same bits
    passage.held_s = passage.entered_s + 1.0 / 3.0;
    passage.stunned_s = passage.held_s + 5.0;
    passage.end_s = passage.entered_s + 20.0;
    passage.calls = number % 3;
    passage.vocal = passage.calls > 0;
    passage.covered = number % 5 != 0;
    if (!passage.covered) passage.excluded = "silent";
    passage.calls_at_stun = number % 2;
    passage.calls_after_stun = number % 4;
    passage.stuns = 1 + number % 2;
    passage.prods = number % 7;
    if (number % 2 == 1) passage.flags = {"second_stun", "never_released"};
    return passage;
}

inline StationCall sample_call(int number) {
    StationCall call;
    call.id = number;
    call.microphone = "head";
    call.heard = {30.0 * number + 2.7, 30.0 * number + 3.9, CallKind::kBellow, 1.7, -33.3, 113.6,
                  "voice_s +1.2"};
    if (number % 2 == 0) {
        call.passage_id = number;
        call.phase = Phase::kAtStun;
        call.counted = true;
    }
    call.reason = "why, it's \"plain\"";
    return call;
}

inline PassageRow passage_row(std::int64_t shift_id, int number) {
    return {shift_id, sample_passage(number), kSampleUtc};
}

inline CallRow call_row(std::int64_t shift_id, int number) {
    return {shift_id, Species::kCattle, sample_call(number), kSampleUtc};
}

inline AlarmEventRow sample_alarm_event(int number) {
    AlarmEventRow row;
    row.id = "box-2/" + std::to_string(number);
    row.alarm_id = 1;
    row.cause = "call_after_stun";
    row.source = "head";
    row.event = "raised";
    row.utc_ns = 1772946000000000000 + number;
    row.severity = "at_once";
    row.count = 3;
    row.told = true;
    row.passage_id = 41;
    row.what = "A call, after the stun.";
    return row;
}

// A list of rows as it stands in a test.
inline void write(Store& store, const std::vector<StoreRow>& rows) {
    store.write(rows);
}

} // namespace quietpass
