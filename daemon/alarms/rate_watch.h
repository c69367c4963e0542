// What the passages of a station show over time: the CUSUM of vocal ones, "k of the last n", the share
// stunned once, and how long no call was heard. Only passages that were scored count for the first two and
// the last; stuns need contacts only. Pure; not thread-safe.
#pragma once

#include <cstddef>
#include <optional>

#include "daemon/alarms/bernoulli_cusum.h"
#include "daemon/alarms/last_n.h"
#include "daemon/passages/passage.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

// The design of the station's CUSUM; nothing where its shares are not set and can't be taken from the limit
// (sheep, a limit of next to nothing or nearly all).
std::optional<CusumDesign> cusum_of(const StationSettings& settings);

class RateWatch {
  public:
    explicit RateWatch(const StationSettings& settings);

    // True: the CUSUM signals with this passage.
    bool add(const Passage& passage);

    // As many passages as "the last n" went by since the signal, and the CUSUM stands at zero.
    bool rate_is_over() const;

    bool many_vocal() const { return vocal_.hits() >= static_cast<std::size_t>(settings_.vocal_k); }
    const LastN& vocal() const { return vocal_; }

    // More than the allowed share of the last n needed a second stun, whatever the ones to come do.
    bool stunned_once_low() const;
    const LastN& stunned_twice() const { return stunned_twice_; }

    bool nothing_heard() const { return silent_passages_ >= settings_.nothing_heard_passages; }
    int silent_passages() const { return silent_passages_; }
    // A call of any kind was heard.
    void heard_call() { silent_passages_ = 0; }

    const std::optional<CusumDesign>& design() const { return design_; }

  private:
    AlarmSettings settings_;
    bool counts_stuns_;
    bool scores_;
    std::optional<CusumDesign> design_;
    std::optional<BernoulliCusum> cusum_;
    LastN vocal_;
    LastN stunned_twice_;
    int since_signal_ = 0;
    int silent_passages_ = 0;
};

} // namespace quietpass
