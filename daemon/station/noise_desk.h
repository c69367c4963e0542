// Puts bangs and hisses in their places: one for each, however many microphones heard it; its passage and
// phase; and whether it came with a change of a contact, which makes it the equipment's.
//
// Bangs between the holding of the head (of the body, where the head's has no contact) and the stun that are
// not the equipment's are an animal's that fights the holder: they are counted for the passage.
//
// Pure; not thread-safe. Times are station seconds. The same input gives the same noises, however settle()
// was interleaved.
#pragma once

#include <deque>
#include <functional>
#include <map>
#include <optional>
#include <vector>

#include "daemon/contacts/edge.h"
#include "daemon/passages/cycle.h"
#include "daemon/passages/station_noise.h"
#include "daemon/station/origin_tracer.h"

namespace quietpass {

class NoiseDesk {
  public:
    static constexpr double kSame_s = 0.1;   // heard by two microphones within this: one noise
    static constexpr double kBefore_s = 1.0; // how far before a call its noises are looked for

    NoiseDesk(const StationSettings& settings, const Cycle& cycle, const OriginTracer& tracer,
              const std::vector<StationMicrophone>& microphones);

    void add(const HeardNoise& noise, std::size_t microphone);
    void take(const Edge& edge);

    // The loudest of its kind in the second before a call, as its microphone heard it (dB SPL once that is
    // calibrated); empty where there was none. Noises before onset_s must have been added.
    std::optional<double> loudest_before(NoiseKind kind, double onset_s) const;

    // Places what can be placed: all noises before heard_s were added, all edges before known_s taken.
    void settle(double heard_s, double known_s, const std::function<void(const StationNoise&)>& tell);

    // No noise that starts before this waits; +infinity where none does.
    double earliest_s() const;

    // How many bangs the passage has, and forgets it.
    int take_bangs(std::int64_t passage_id);

    void forget_before(double time_s);

  private:
    struct Heard {
        HeardNoise noise;
        std::size_t microphone;
    };
    StationNoise placed(const Heard& heard);

    NoiseSettings settings_;
    bool head_contact_;
    const Cycle& cycle_;
    const OriginTracer& tracer_;
    const std::vector<StationMicrophone>& microphones_;
    std::vector<Heard> waiting_; // by start, then microphone
    std::deque<Heard> recent_;   // as they were added, for loudest_before()
    std::deque<double> edges_s_;
    std::map<std::int64_t, int> bangs_; // by passage
};

} // namespace quietpass
