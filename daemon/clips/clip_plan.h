// Which stretches of sound become clips: of what the Station finds and what the alarms say of it.
//
// - Each call has a clip of its own, with before_s and after_s around it, also where calls overlap or follow
//   closely: a finding, a hold or a deletion is then of one call and takes nothing else with it. What they
//   share is on the disk twice.
// - Alarms of a moment (AlarmEnd::kQuiet). One of a call after the stun is that call's clip, as an alarm's;
//   of any other the clip is its passage, from the stun on where there was one.
// - Quiet passages: a share of those that were scored and not vocal, from entry to stun (to the end where
//   there was none). Which ones follows from the seed, the shift's and the passage's number alone, so that
//   nobody can choose.
// - Everything, in pieces without a hole between them, between two set moments.
//
// Nothing longer than longest_s; what is longer ends there. Pure: no clock, no threads, no I/O; as the
// Station's events, on its thread.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <utility>
#include <vector>

#include "daemon/clips/clip_wish.h"
#include "daemon/records/station_utc.h"
#include "daemon/records/store_rows.h"
#include "daemon/settings/clip_settings.h"
#include "daemon/station_events.h"

namespace quietpass {

class ClipPlan final : public StationEvents {
  public:
    // The shift that a moment belongs to; asked within the events.
    using ShiftOf = std::function<std::int64_t(double)>;

    ClipPlan(const ClipSettings& settings, ShiftOf shift_of);

    void on_call(const StationCall& call) override;
    void on_passage(const Passage& passage) override;
    void on_gap(const Gap&) override {}
    void on_stray_edge(const Edge&, const std::string&) override {}
    void on_stop(double, double) override {}
    void on_after_stun_call(const StationCall& call) override;
    void on_may_be_after_stun_call(const StationCall& call) override { on_after_stun_call(call); }
    void on_second_stun(const SecondStun& stun) override;
    void on_alarm(const AlarmEventRow& row);

    // The sound was heard until here. From now on take() gives what ends earlier.
    void advance(double heard_until_s, const std::optional<StationUtc>& utc);
    // Nothing more is heard: what is under way is taken as far as it got.
    void finish(double heard_until_s);
    bool take(ClipWish& out);

  private:
    struct Wished {
        ClipWish wish;
        bool after_stun = false;       // an alarm's as soon as there is one of its passage
        bool only_of_an_alarm = false; // … and nothing without
    };
    // A passage of which an alarm may be told yet.
    struct Remembered {
        Passage passage;
        std::int64_t shift_id = 0;
    };
    struct AfterStun {
        double start_s = 0.0; // of the first call's span, as first told
        double end_s = 0.0;
        std::optional<std::int64_t> alarm_id;
        bool has_clip = false;
    };

    void add(ClipWish wish, bool after_stun = false, bool only_of_an_alarm = false);
    void wish_sample(const Passage& passage, std::int64_t shift_id);
    void wish_continuous(double heard_until_s, const StationUtc& utc);
    void wish_second_stun(const Remembered& of, std::int64_t alarm_id);
    void wish_calls_not_told_again();
    bool in_sample(std::int64_t shift_id, std::int64_t passage_id) const;

    ClipSettings settings_;
    ShiftOf shift_of_;
    std::vector<Wished> wished_;
    std::vector<CallSpan> calls_;                                      // the last few minutes', of any kind
    std::map<std::int64_t, AfterStun> after_stun_;                     // by passage
    std::map<std::int64_t, std::optional<std::int64_t>> second_stuns_; // alarms by passage that goes on
    std::map<std::int64_t, Remembered> passages_;                      // by id, the last few minutes'
    std::set<std::pair<std::int64_t, std::int64_t>> told_; // alarm, passage: a reminder is no news
    double continuous_next_s_ = 0.0;
    std::optional<double> continuous_until_s_; // empty before its time and after it
    double heard_until_s_ = 0.0;
    bool finished_ = false;
};

} // namespace quietpass
