#include "tests/soak/soak_microphone.h"

#include <algorithm>
#include <cmath>

namespace quietpass::soak {

namespace {

constexpr std::size_t kPacket = 4800;
constexpr double kJitter_s = 0.008;     // callbacks come late by up to this
constexpr double kQuiet_s = 1.0;        // without callbacks for so long it counts as unplugged
constexpr double kOpenedWithin_s = 3.0; // after it is back
constexpr double kLook_s = 0.5;         // how time goes while it is gone …
constexpr double kLongAway_s = 60.0;    // … and after so long,
constexpr double kLookAway_s = 5.0;     // as in a night
constexpr double kNoteEvery_s = 300.0;

} // namespace

double StationTimes::world_s(double station_s) const {
    auto above = std::lower_bound(pairs_.begin(), pairs_.end(), std::pair(station_s, -1e300));
    if (above == pairs_.begin()) return above->second + station_s - above->first;
    const auto below = above - 1;
    if (above == pairs_.end()) return below->second + station_s - below->first;
    const double share = (station_s - below->first) / (above->first - below->first);
    return below->second + share * (above->second - below->second);
}

SoakMicrophone::SoakMicrophone(SoakClock& clock, PlantSound& sound, const Plan& plan, StationTimes& times,
                               double drift_ppm, std::uint64_t seed, OnTime on_time)
    : clock_(clock),
      sound_(sound),
      plan_(plan),
      times_(times),
      s_per_frame_((1.0 + drift_ppm * 1e-6) / Reel::kRate_hz),
      random_(seed, "microphone"),
      on_time_(std::move(on_time)),
      finder_(Reel::kRate_hz, 1),
      opened_s_(clock.world_s()),
      packet_start_s_(opened_s_) {
    packet_due_s_ = packet_start_s_ + kPacket * s_per_frame_;
}

const Fault* SoakMicrophone::fault_at(double time_s) {
    while (fault_ < plan_.faults.size() && plan_.faults[fault_].end_s <= time_s) ++fault_;
    if (fault_ == plan_.faults.size() || plan_.faults[fault_].start_s > time_s) return nullptr;
    return &plan_.faults[fault_];
}

bool SoakMicrophone::there(double time_s) {
    const Fault* const fault = fault_at(time_s);
    return sound_.powered(time_s) && (fault == nullptr || fault->kind != FaultKind::kUnplugged);
}

void SoakMicrophone::go_to(double world_s) {
    clock_.go_to(world_s);
    on_time_(clock_.world_s());
}

void SoakMicrophone::note_time(double world_s) {
    if (world_s < note_due_s_) return;
    note_due_s_ = world_s + kNoteEvery_s;
    const double index = finder_.fit().index_at(SoakClock::monotonic_ns_of(world_s));
    times_.add(index / Reel::kRate_hz, world_s);
}

// The samples before this packet are gone; what comes is as fresh as ever.
void SoakMicrophone::lose(const Fault& fault, CapturedPacket& packet) {
    const bool told = fault.kind == FaultKind::kLossTold;
    const bool flagged = fault.kind == FaultKind::kLossFlagged;
    if (!told && !flagged && fault.kind != FaultKind::kLossUntold) return;
    if (fault.end_s < opened_s_) return; // before this session
    const auto lost = static_cast<std::int64_t>((fault.end_s - fault.start_s) / s_per_frame_);
    if (told) packet.dropped_before = lost;
    packet.overflowed = flagged;
    packet_start_s_ += static_cast<double>(lost) * s_per_frame_;
    go_to(packet_start_s_ + kPacket * s_per_frame_);
    packet.stamp_ns = clock_.monotonic_ns();
}

void SoakMicrophone::take_packet() {
    CapturedPacket packet;
    packet.stamp_ns = clock_.monotonic_ns();
    packet.frames = kPacket;
    packet.samples.resize(kPacket);
    for (; loss_ < plan_.faults.size() && plan_.faults[loss_].start_s <= packet_start_s_; ++loss_) {
        lose(plan_.faults[loss_], packet);
    }
    sound_.fill(packet_start_s_, packet.samples);
    packet_start_s_ += kPacket * s_per_frame_;
    packet_due_s_ = packet_start_s_ + kPacket * s_per_frame_ + random_.uniform(0.0, kJitter_s);
    finder_.take(std::move(packet));
    note_time(clock_.world_s());
}

bool SoakMicrophone::next(Stretch& stretch, std::int64_t deadline_ns) {
    const double deadline_s = SoakClock::world_s_of(deadline_ns);
    for (;;) {
        if (finder_.next(stretch)) return true;
        const double now_s = clock_.world_s();
        if (now_s >= deadline_s) return false;
        if (gone_since_s_ < 0.0) {
            if (!there(packet_due_s_)) {
                gone_since_s_ = packet_start_s_;
                told_gone_ = false;
                continue;
            }
            if (packet_due_s_ > deadline_s) {
                go_to(deadline_s);
                return false;
            }
            go_to(packet_due_s_);
            take_packet();
            continue;
        }
        const bool night = now_s - gone_since_s_ > kLongAway_s && !sound_.powered(now_s);
        double until_s = now_s + (night ? kLookAway_s : std::min(kLook_s, deadline_s - now_s));
        if (night) until_s = std::min(until_s, std::max(now_s + 0.05, sound_.powered_again_s()));
        go_to(until_s);
        if (!told_gone_ && until_s - gone_since_s_ > kQuiet_s) {
            finder_.stream_lost();
            told_gone_ = true;
            back_s_ = -1.0;
        }
        if (told_gone_ && there(until_s)) {
            if (back_s_ < 0.0) back_s_ = until_s + random_.uniform(0.0, kOpenedWithin_s);
            if (until_s >= back_s_) {
                gone_since_s_ = -1.0;
                packet_start_s_ = until_s;
                packet_due_s_ = packet_start_s_ + kPacket * s_per_frame_;
                continue;
            }
        } else if (!told_gone_ && there(until_s)) {
            // Away for so short a time that the stream went on.
            gone_since_s_ = -1.0;
            packet_start_s_ = until_s;
            packet_due_s_ = packet_start_s_ + kPacket * s_per_frame_;
            continue;
        }
        if (told_gone_) {
            finder_.lost_until(clock_.monotonic_ns());
            note_time(until_s);
        }
    }
}

} // namespace quietpass::soak
