// Tells of a call after the stun as soon as it can be told, once for each: from the first words of the ears,
// before it is known what else the call may be one with. A trained person must check the animal at once.
//
// On a conveyor a call while a stunned animal is in the line and another waits for its stun may be either's:
// it is told as one that may be after the stun.
//
// Not told of: a call that began before the stun or at it, or goes on from one that did; a waiting animal's.
// What the first words missed is told when the call itself is placed.
//
// Pure; not thread-safe. Times are station seconds. What is told doesn't depend on how blocks and edges were
// interleaved.
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

#include "classifiers/ear.h"
#include "daemon/passages/cycle.h"
#include "daemon/passages/station_call.h"
#include "daemon/station/origin_tracer.h"

namespace quietpass {

class AfterStunWatch {
  public:
    using Tell = std::function<void(const StationCall&)>;

    AfterStunWatch(const Cycle& cycle, OriginTracer& tracer,
                   const std::vector<StationMicrophone>& microphones);

    void add(const Ear::FirstWord& word, std::size_t microphone);

    // Looks at the words that were known by heard_s, which all microphones have heard.
    void settle(double heard_s, const Tell& tell, const Tell& tell_may_be);

    // A call after the stun, with its passage: told now, unless it was.
    void placed(const StationCall& call, const Tell& tell);

    void forget_before(double time_s);

  private:
    struct Word {
        HeardCall heard;
        double known_at_s;
        std::size_t microphone;
    };
    struct Span {
        double start_s;
        double end_s;
    };
    bool goes_on_from_before(const HeardCall& heard) const;
    void look(const Word& word, const Tell& tell, const Tell& tell_may_be);
    static void tell_once(std::vector<Span>& told, const StationCall& call, const Tell& tell);

    const Cycle& cycle_;
    OriginTracer& tracer_;
    const std::vector<StationMicrophone>& microphones_;
    std::vector<Word> waiting_; // by when they were known, then microphone
    std::vector<Span> before_;  // calls that began before the stun, and what goes on from them
    std::vector<Span> told_;
    std::vector<Span> told_may_be_;
};

} // namespace quietpass
