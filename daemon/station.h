// The one place where audio and contacts meet. No threads, no clock, no I/O: blocks and edges go in with
// their times; sounds' calls, passages, gaps and health figures come out (station_events.h). The live daemon,
// `score`, the tests and the re-scoring of archives all drive this class, so the same input gives the same
// output everywhere, however the input was cut into blocks and however blocks and edges were interleaved.
//
// Station time: seconds of the first microphone's sample clock, from its first sample, lost samples included.
// Other microphones' blocks are placed in it by whoever drives the Station.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>

#include "classifiers/profile.h"
#include "daemon/capture/gap.h"
#include "daemon/contacts/edge.h"
#include "daemon/settings/station_settings.h"
#include "daemon/station_events.h"

namespace quietpass {

class Station {
  public:
    static constexpr double kKept_s = 60.0;

    // profile: null for a species that is never scored (levels only).
    // sample_rates_hz: one a microphone, in the settings' order.
    Station(const StationSettings& settings, const Profile* profile, std::span<const double> sample_rates_hz,
            StationEvents& events);
    ~Station();

    // Where this microphone's sample clock lies in station time: station time = its own time + offset_s. Zero
    // at first, and always for the first microphone. Set it as the streams' clocks drift apart; it holds from
    // then on.
    void place_microphone(std::size_t microphone, double offset_s);
    double microphone_offset_s(std::size_t microphone) const;

    // Samples of one microphone, in order, none missing: mono, full scale ±1, finite. Microphones go on side
    // by side: where one is kKept_s or more ahead of another, whose a call is can't be told any more, and it
    // counts.
    void hear(std::size_t microphone, std::span<const float> samples);

    // The same in two steps, for who hears microphones on several threads: listen() touches nothing but its
    // microphone, so each may have a thread. take_in() follows on one thread, while none listens, after some
    // seconds of samples at most.
    void listen(std::size_t microphone, std::span<const float> samples);
    void take_in();

    // `count` samples of this microphone were lost here.
    void lose(std::size_t microphone, std::int64_t count, GapCause cause);

    // Edges come in time order. known_until: no edge earlier than this will come any more.
    void take(const Edge& edge);
    void contacts_known_until(double time_s);

    // The contacts were not known from start_s to end_s.
    void lose_contacts(const std::string& source, double start_s, double end_s);

    // No more input: everything still open ends at the last sample heard; edges later than that are stray.
    void finish();

    // Up to where everything is decided, seconds.
    double settled_until_s() const;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
