// Passes what the Station finds to several receivers, each event to all of them in their order. They must
// outlive it. On the Station's thread.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "daemon/station.h"

namespace quietpass {

class EventFanOut final : public StationEvents {
  public:
    explicit EventFanOut(std::vector<StationEvents*> receivers) : receivers_(std::move(receivers)) {}

    void on_call(const StationCall& call) override {
        for (StationEvents* const receiver : receivers_) receiver->on_call(call);
    }
    void on_passage(const Passage& passage) override {
        for (StationEvents* const receiver : receivers_) receiver->on_passage(passage);
    }
    void on_gap(const Gap& gap) override {
        for (StationEvents* const receiver : receivers_) receiver->on_gap(gap);
    }
    void on_stray_edge(const Edge& edge, const std::string& why) override {
        for (StationEvents* const receiver : receivers_) receiver->on_stray_edge(edge, why);
    }
    void on_stop(double start_s, double end_s) override {
        for (StationEvents* const receiver : receivers_) receiver->on_stop(start_s, end_s);
    }
    void on_health(const MicrophoneMinute& minute) override {
        for (StationEvents* const receiver : receivers_) receiver->on_health(minute);
    }
    void on_noise(const StationNoise& noise) override {
        for (StationEvents* const receiver : receivers_) receiver->on_noise(noise);
    }
    void on_phase(const PhaseNow& now) override {
        for (StationEvents* const receiver : receivers_) receiver->on_phase(now);
    }
    void on_after_stun_call(const StationCall& call) override {
        for (StationEvents* const receiver : receivers_) receiver->on_after_stun_call(call);
    }
    void on_may_be_after_stun_call(const StationCall& call) override {
        for (StationEvents* const receiver : receivers_) receiver->on_may_be_after_stun_call(call);
    }
    void on_second_stun(const SecondStun& stun) override {
        for (StationEvents* const receiver : receivers_) receiver->on_second_stun(stun);
    }

  private:
    std::vector<StationEvents*> receivers_;
};

} // namespace quietpass
