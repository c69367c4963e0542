#include "daemon/station/call_desk.h"

#include <utility>

namespace quietpass {

CallDesk::CallDesk(const StationSettings& settings, const Cycle& cycle, OriginTracer& tracer,
                   const NoiseDesk& noises, const std::vector<StationMicrophone>& microphones)
    : cut_(settings.has(Role::kCut)),
      cycle_(cycle),
      tracer_(tracer),
      noises_(noises),
      microphones_(microphones),
      calls_(settings.microphones.size(), [this](const HeardCall& heard, std::size_t microphone) {
          return tracer_.trace(heard, microphone);
      }) {}

void CallDesk::settle(double settled_s, double placeable_s,
                      const std::function<void(const StationCall&)>& tell) {
    calls_.settle(settled_s);
    MicrophoneCall call;
    while (calls_.take(placeable_s, call)) tell(place(std::move(call)));
}

StationCall CallDesk::place(MicrophoneCall placed) {
    const StationMicrophone& microphone = microphones_[placed.microphone];
    const Cycle::Place where = cycle_.place(placed.heard.start_s, microphone.settings().zone);
    StationCall call;
    call.id = next_call_id_++;
    call.microphone = microphone.settings().name;
    call.heard = std::move(placed.heard);
    call.heard.level_db += microphone.sensitivity_db();
    call.bang_before_db = noises_.loudest_before(NoiseKind::kBang, call.heard.start_s);
    call.hiss_before_db = noises_.loudest_before(NoiseKind::kHiss, call.heard.start_s);
    if (where.passage_id && !(placed.origin && placed.origin->judgement.origin == Origin::kWaiting)) {
        call.passage_id = where.passage_id;
        call.passage_entered_s = where.passage_entered_s;
        call.phase = where.phase;
    }
    call.reason = where.reason;
    judge(call, placed, where);
    return call;
}

void CallDesk::judge(StationCall& call, const MicrophoneCall& placed, const Cycle::Place& where) {
    const bool waiting = placed.origin && placed.origin->judgement.origin == Origin::kWaiting;
    if (waiting) {
        call.reason = kWaitingAnimals;
    } else if (call.passage_id && !can_count(call.heard.kind)) {
        call.reason = "a grunt is recorded and never counted";
    } else if (call.passage_id && call.phase == Phase::kAfterStun) {
        counts_[*call.passage_id].after_stun += 1;
        call.reason = cut_ ? "after the cut: enters no percentage"
                           : "after the stun: enters no percentage, a trained person checks the animal";
    } else if (call.passage_id && tracer_.only_up_the_race(placed)) {
        call.reason = "heard up the race only, and whose it is can't be told";
    } else if (call.passage_id) {
        call.counted = true;
        if (where.or_stunned_id && !cut_) {
            call.reason += "; passage " + std::to_string(*where.or_stunned_id) +
                           " was stunned and in the line: it may be its";
        }
        Count& count = counts_[*call.passage_id];
        count.counted += 1;
        if (call.phase == Phase::kAtStun) count.at_stun += 1;
    }
    const std::string told = tracer_.words(placed);
    if (!told.empty()) call.reason += (waiting ? ": " : "; ") + told;
}

void CallDesk::count_into(Passage& passage) {
    const auto found = counts_.find(passage.id);
    if (found == counts_.end()) return;
    passage.calls = found->second.counted;
    passage.calls_at_stun = found->second.at_stun;
    passage.calls_after_stun = found->second.after_stun;
    passage.vocal = passage.calls > 0;
    counts_.erase(found);
}

} // namespace quietpass
