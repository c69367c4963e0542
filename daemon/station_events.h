// What comes out of a Station. Called from within the Station's methods, on the caller's thread. Each kind
// comes in the order stated; a passage comes after all calls and noises that lie in it. Times are station
// seconds.
#pragma once

#include <optional>
#include <string>

#include "daemon/capture/gap.h"
#include "daemon/contacts/edge.h"
#include "daemon/health/microphone_minute.h"
#include "daemon/passages/passage.h"
#include "daemon/passages/station_call.h"
#include "daemon/passages/station_noise.h"

namespace quietpass {

// Where the animal at the restraint is now, as far as the contacts tell at this moment. A later edge may show
// that it was otherwise: on_passage has the final word.
struct PhaseNow {
    double time_s = 0.0;                    // of the edge that told
    std::optional<std::int64_t> passage_id; // none: nobody is in
    std::optional<Phase> phase;
};

class StationEvents {
  public:
    virtual ~StationEvents() = default;
    virtual void on_call(const StationCall& call) = 0;   // in order of onset
    virtual void on_passage(const Passage& passage) = 0; // in order of entry, when it can't change any more
    virtual void on_gap(const Gap& gap) = 0;             // in order of end
    virtual void on_stray_edge(const Edge& edge, const std::string& why) = 0; // an edge that fits no passage
    virtual void on_stop(double start_s, double end_s) = 0;                   // the line stood

    // Who has no use for the following need not listen.

    // The figures of each minute of each microphone, when they can't change any more; of one microphone in
    // order.
    virtual void on_health(const MicrophoneMinute& /*minute*/) {}
    // A bang or a hiss, in order of start.
    virtual void on_noise(const StationNoise& /*noise*/) {}
    // At each edge that changed it.
    virtual void on_phase(const PhaseNow& /*now*/) {}
    // An animal called after the stun: once for each such call, at most once for calls that overlap, and as
    // soon as it can be told, which is before on_call. The call has no id yet, and its times and score may
    // still change; never for a call that began before the stun or at it, nor for a waiting animal's. Not on
    // stations with `cut`, where an animal may be conscious.
    virtual void on_after_stun_call(const StationCall& /*call*/) {}
    // On a conveyor: a call that may be a stunned animal's, but as well that of one that waits for its stun,
    // to which it is given and counts for. passage_id is the stunned one's; the rest is as above.
    virtual void on_may_be_after_stun_call(const StationCall& /*call*/) {}
    // An animal was stunned a second time, at the edge that told; never on stations with `cut`. The passage
    // has the final word.
    virtual void on_second_stun(const SecondStun& /*stun*/) {}
};

} // namespace quietpass
