// The detectors: what the Station and its contacts show, told to the AlarmBook. Beside the ShiftBook, as a
// receiver of the same events. What comes in between two turns is told at the turn, with its time.
//
// Pure: no clock, no threads, no I/O. Driven on one thread, the Station's.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/alarm_book.h"
#include "daemon/alarms/hold_watch.h"
#include "daemon/alarms/lost_sound.h"
#include "daemon/alarms/rate_watch.h"
#include "daemon/records/station_utc.h"
#include "daemon/shifts/schedule.h"
#include "daemon/station.h"

namespace quietpass {

class StationAlarms final : public StationEvents {
  public:
    // schedule and book must outlive it.
    StationAlarms(const StationSettings& settings, const Schedule& schedule, AlarmBook& book);

    // Passages of before this run, oldest first: the rates go on where they were. No alarm comes of them.
    void recall(const Passage& passage) { rates_.add(passage); }

    void on_call(const StationCall& call) override;
    void on_passage(const Passage& passage) override;
    void on_gap(const Gap& gap) override;
    void on_stray_edge(const Edge&, const std::string&) override {}
    void on_stop(double, double) override {}
    void on_after_stun_call(const StationCall& call) override;
    void on_may_be_after_stun_call(const StationCall& call) override;
    void on_second_stun(const SecondStun& stun) override;
    void on_health(const MicrophoneMinute& minute) override;
    void on_edge(const Edge& edge);

    // How far a microphone's loss under way has got; 0: it is heard.
    void sound_is_lost(const std::string& microphone, double lost_s);
    // A contact source does not answer now, since so long; 0: it answers.
    void contacts_are_lost(const std::string& source, double lost_s);

    struct Moment {
        std::int64_t utc_ns = 0;
        double heard_until_s = 0.0;
        std::optional<StationUtc> utc; // of station seconds
    };
    void turn(const Moment& now);

  private:
    void tell_after_stun(AlarmCause cause, const StationCall& call, const Moment& now);
    void tell_second_stun(const SecondStun& stun, const Moment& now);
    void tell_passage(const Passage& passage, const Moment& now);
    void tell_rates(const Moment& now);
    void tell_hold(const Moment& now);
    void tell_microphones(const Moment& now);
    void tell_contacts(const Moment& now);
    void tell_line(const Moment& now);
    void say(bool there, AlarmCause cause, const std::string& source, const AlarmDetail& detail,
             const Moment& now);

    StationSettings settings_;
    const Schedule& schedule_;
    std::optional<Schedule> breaks_;
    AlarmBook& book_;
    RateWatch rates_;
    HoldWatch hold_;
    std::vector<StationCall> after_stun_;
    std::vector<StationCall> may_be_after_stun_;
    std::vector<SecondStun> second_stuns_;
    bool call_heard_ = false; // since the last turn
    std::vector<Passage> passages_;
    std::vector<MicrophoneMinute> minutes_;
    std::map<std::string, double> losing_s_;
    std::map<std::string, LostSound> lost_;
    std::map<std::string, double> contacts_lost_s_;
    bool animal_seen_ = false; // since the last turn
    bool stopped_ = false;
    bool first_turn_ = true;
    std::optional<std::int64_t> idle_since_ns_; // the line should run and no animal came
};

} // namespace quietpass
