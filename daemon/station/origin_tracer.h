// Asks the pairs of microphones that tell whose a call is (daemon/hearing/), and puts what they told in
// words.
//
// The microphones must outlive it. Not thread-safe. Times are station seconds.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "classifiers/segment_settings.h"
#include "daemon/hearing/call_merger.h"
#include "daemon/hearing/origin_finder.h"
#include "daemon/hearing/separation.h"
#include "daemon/station/microphone.h"

namespace quietpass {

class OriginTracer {
  public:
    // Whose a call is is told from this much before it (the background) up to its end.
    static constexpr double kLead_s = 3.0;

    // band: null for a species that is never scored; then nothing is told.
    OriginTracer(const StationSettings& settings, const SegmentSettings* band,
                 std::vector<StationMicrophone>& microphones, double kept_s);

    // Of a call that ended before the last sample heard.
    std::optional<TracedOrigin> trace(const HeardCall& heard, std::size_t microphone);

    // What was told of it, in words; empty where nothing was.
    std::string words(const MicrophoneCall& call) const;

    // Heard by microphones up the race alone, and not surely the restrained animal's. What the microphone at
    // the restraint would not have counted by itself must not count for another that hears those who wait
    // better.
    bool only_up_the_race(const MicrophoneCall& call) const;
    bool is_up_the_race(std::size_t microphone) const;

    // No call that begins before needed_s will be asked about any more.
    void forget_before(double needed_s);

  private:
    // A pair of microphones that tells whose a call is.
    struct Teller {
        MicrophonePair pair;
        OriginFinder finder;
        std::vector<float> near; // kept between calls for their room
        std::vector<float> far;
    };
    std::optional<TracedOrigin> ask(Teller& teller, const HeardCall& heard, std::size_t microphone);

    std::vector<StationMicrophone>& microphones_;
    std::vector<Teller> tellers_;
};

} // namespace quietpass
