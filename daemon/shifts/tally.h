// Counts one shift: passages, calls, gaps and line stops go in, the ShiftRecord comes out.
//
// Times are station seconds. Order does not matter, and neither does what comes first. A passage belongs to
// the shift in which it was entered, its calls go with it; choosing the Tally is the caller's. Pure; not
// thread-safe.
//
// Errors: std::invalid_argument for a confidence outside (0, 1).
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "classifiers/evaluation/wilson.h"
#include "daemon/capture/gap.h"
#include "daemon/passages/passage.h"
#include "daemon/passages/station_call.h"
#include "daemon/settings/station_settings.h"
#include "daemon/shifts/shift_record.h"
#include "daemon/shifts/time_spans.h"

namespace quietpass {

// Why vocalization is not scored at such a station at all (sheep; pigs where several ride in line); empty: it
// is.
std::string why_never_scored(const StationSettings& settings);

class Tally {
  public:
    explicit Tally(const StationSettings& settings, double confidence = kUsualConfidence);

    void add(const Passage& passage);
    void add(const StationCall& call);
    void add(const Gap& gap);
    // The line was stopped (or washed down) from start_s to end_s.
    void add_stop(double start_s, double end_s);

    // The figures of the shift from start_s to end_s; gaps and stops are clipped to it. Name, UTC times,
    // versions and hashes are the caller's to fill in. May be asked again at any time: adding goes on.
    ShiftRecord record(double start_s, double end_s) const;

  private:
    void count_passages(ShiftRecord& record) const;
    void count_phases(ShiftRecord& record, std::int64_t passage_id) const;
    void describe_microphones(ShiftRecord& record) const;
    void measure_times(ShiftRecord& record) const;

    StationSettings settings_;
    double confidence_;
    std::vector<Passage> passages_;
    std::map<std::int64_t, std::array<std::int64_t, 5>> counted_calls_; // by passage id, then Phase
    std::int64_t waiting_calls_ = 0;
    std::vector<Gap> gaps_;
    std::vector<TimeSpan> stops_;
};

} // namespace quietpass
