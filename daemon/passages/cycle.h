// The restraint cycle: debounced contact edges in, passages out, and for any moment the passage and phase it
// lies in. Pure: no threads, clock or I/O. Not thread-safe: one caller at a time.
//
// Times are station seconds (see daemon/station.h). Edges come in time order; whatever a time-out decides
// happens at its own time, before an edge of that same time, so passages and places are the same however
// known_until() calls are interleaved with the edges. An edge older than what is already known comes back as
// a stray.
//
// A box holds one animal at a time; on a conveyor several ride in line, first in, first out (conveyor_cycle.h
// says how a lost or doubled edge is recognised there). Without an `entered` contact a passage is made by its
// stun alone.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>

#include "daemon/contacts/edge.h"
#include "daemon/passages/passage.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

class Cycle {
  public:
    // wired: the roles the station has contacts for. Throws Failure when neither `entered`, `stunned` nor
    // `cut` is among them. Where `stunned` and `cut` are both wired, `stunned` is the cycle's mark and `cut`
    // is ignored.
    Cycle(const RestraintSettings& settings, std::span<const Role> wired);
    ~Cycle();
    Cycle(Cycle&&) noexcept;
    Cycle& operator=(Cycle&&) noexcept;

    void take(const Edge& edge);

    // No edge earlier than this will come any more.
    void known_until(double time_s);

    // The input ends here: whatever is still open ends, flagged "input_ended". No call but the ones that read
    // after it.
    void finish(double time_s);

    struct Place {
        std::optional<std::int64_t> passage_id;
        std::optional<Phase> phase;
        double passage_entered_s = kNever; // by which a call is filed before its passage has ended
        // Conveyor: one that was stunned and is still in the line may have called instead.
        std::optional<std::int64_t> or_stunned_id;
        double or_stunned_entered_s = kNever;
        const char* reason = ""; // plain words, a literal: "no animal in the restrainer", "line stopped", …
    };

    // Where a call that began at onset_s belongs. Final for onset_s < placeable_until_s() and not before the
    // last forget_before(). The zone matters on a conveyor only.
    Place place(double onset_s, MicrophoneZone zone) const;

    // Never goes back. Up to at_stun_s behind what is known while an unstunned animal is inside;
    // entry_before_s behind on a station without `entered`; held up at an edge of which it is not yet known
    // whether it was an animal's.
    double placeable_until_s() const;

    // The next passage that can't change any more, in order of entry; ids count from 1. False: none yet.
    bool take_closed(Passage& out);

    // The next edge that fits no passage, and why (a literal).
    bool take_stray(Edge& edge, const char*& why);

    // The next second stun, as soon as it happened. What it was may still turn out otherwise.
    bool take_second_stun(SecondStun& out);

    // The next stretch in which the line stood still, once it is over.
    bool take_stop(double& start_s, double& end_s);

    // Nothing before this will be placed any more. Only what was taken is forgotten.
    void forget_before(double time_s);

    // How many passages are remembered, open ones included: what forget_before() keeps small.
    std::size_t remembered() const;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
