// Puts each call in its place (passage, phase), says whether it counts and why, and counts them for the
// passages. The scoring rules of README.md are here.
//
// Pure; not thread-safe. Times are station seconds.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "daemon/hearing/call_merger.h"
#include "daemon/passages/cycle.h"
#include "daemon/passages/station_call.h"
#include "daemon/station/noise_desk.h"
#include "daemon/station/origin_tracer.h"

namespace quietpass {

class CallDesk {
  public:
    CallDesk(const StationSettings& settings, const Cycle& cycle, OriginTracer& tracer,
             const NoiseDesk& noises, const std::vector<StationMicrophone>& microphones);

    void add(HeardCall heard, std::size_t microphone) { calls_.add(std::move(heard), microphone); }

    // No call that begins before settled_s will be added any more; those that begin before placeable_s, for
    // which their place and the noises before them are known, are placed.
    void settle(double settled_s, double placeable_s, const std::function<void(const StationCall&)>& tell);

    // No call that begins before this is still here; +infinity where there is none.
    double earliest_s() const { return calls_.earliest_s(); }

    // Enters the passage's calls into it, and forgets them.
    void count_into(Passage& passage);

  private:
    struct Count {
        int counted = 0;
        int at_stun = 0;
        int after_stun = 0;
    };
    StationCall place(MicrophoneCall placed);
    void judge(StationCall& call, const MicrophoneCall& placed, const Cycle::Place& where);

    bool cut_;
    const Cycle& cycle_;
    OriginTracer& tracer_;
    const NoiseDesk& noises_;
    const std::vector<StationMicrophone>& microphones_;
    CallMerger calls_;
    std::map<std::int64_t, Count> counts_; // by passage
    std::int64_t next_call_id_ = 1;
};

} // namespace quietpass
