// Calls of several microphones in, one call for each that was cried out, in order of onset.
//
// Calls of different microphones that share at least half of the shorter one are one call: a sound needs some
// hundredths of a second along a race, calls last a third of a second and more. Where one is surely the
// restrained animal's and another surely a waiting one's, two animals cried at once: they stay two calls.
// The clearest hearing is the call's, its times, kind and score with it; where kinds differ in whether they
// count, that at the restraint.
//
// Pure; times are station seconds. The result doesn't depend on the order in which microphones bring their
// calls, as long as no call begins before what was said to be settled.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <vector>

#include "classifiers/heard_call.h"
#include "daemon/hearing/call_origin.h"

namespace quietpass {

// What is known of where a call came from, on the pair of microphones that told it.
struct TracedOrigin {
    OriginJudgement judgement;
    std::size_t near = 0;
    std::size_t far = 0;
    // How clear the call was at this microphone, dB over its background; empty for a microphone that is not
    // of the pair.
    std::optional<double> clear_db;
};

struct MicrophoneCall {
    HeardCall heard;
    std::size_t microphone = 0;
    std::optional<TracedOrigin> origin;
    std::vector<std::size_t> heard_at; // every microphone whose hearing is this call
};

class CallMerger {
  public:
    // Asked once for each call, when all that can be heard of it was heard.
    using Trace = std::function<std::optional<TracedOrigin>(const HeardCall& heard, std::size_t microphone)>;

    CallMerger(std::size_t microphones, Trace trace);

    void add(HeardCall heard, std::size_t microphone);

    // No call that begins before settled_s will be added any more; +infinity at the end.
    void settle(double settled_s);

    // The next call, if it begins before before_s and none can come that begins earlier.
    bool take(double before_s, MicrophoneCall& out);

    // No call that begins before this is still here; +infinity where there is none.
    double earliest_s() const;

  private:
    std::vector<MicrophoneCall> group_at_front(double& end_s) const;
    void merge(std::vector<MicrophoneCall> group);
    void put_ready(std::vector<MicrophoneCall> hearings);

    std::size_t microphones_;
    Trace trace_;
    double settled_s_;
    std::vector<MicrophoneCall> pending_; // by onset, then microphone
    std::vector<MicrophoneCall> ready_;   // the same; one for each call cried out
};

} // namespace quietpass
