// Takes what the Station finds to the page's thread, through one bounded queue: the daemon's loop never waits
// for the page. What finds the queue full is dropped and counted.
//
// Threads: the StationEvents' methods, on_edge, on_alarm and turn on the thread that drives the Station; take
// and lost on one other.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "daemon/shift_book.h"
#include "daemon/web/live_event.h"

namespace quietpass {

class LiveFeed final : public StationEvents {
  public:
    // book must outlive it, and be told of an event before this is.
    explicit LiveFeed(const ShiftBook& book, std::size_t capacity = 4096);
    ~LiveFeed() override;

    void on_call(const StationCall& call) override;
    void on_passage(const Passage& passage) override;
    void on_gap(const Gap& gap) override;
    void on_stray_edge(const Edge& /*edge*/, const std::string& /*why*/) override {}
    void on_stop(double start_s, double end_s) override;
    void on_health(const MicrophoneMinute& minute) override;
    void on_phase(const PhaseNow& now) override;
    void on_edge(const Edge& edge);
    void on_alarm(const AlarmEventRow& row);
    // Of sound, which is the first to be left out where the queue is half full.
    void on_level(const LiveLevel& level);
    void on_spectrum(const LiveSpectrum& column);
    // Often; utc: how station seconds map to UTC now.
    void turn(double heard_until_s, const std::optional<StationUtc>& utc);

    // Gives `to` all that waits, in order.
    void take(const std::function<void(const LiveEvent&)>& to);
    // How many were dropped since the last time this was asked.
    std::uint64_t lost();

    // Whether anybody listens, so that sound is worth looking at. From any thread.
    void listened(bool by_anybody) { listened_.store(by_anybody, std::memory_order_relaxed); }
    bool is_listened() const { return listened_.load(std::memory_order_relaxed); }

  private:
    template <typename What>
    void put(double time_s, const What& what);
    bool is_half_full() const;

    struct Queue;
    const ShiftBook& book_;
    std::unique_ptr<Queue> queue_;
    std::atomic<std::uint64_t> lost_{0};
    std::atomic<bool> listened_{false};
    std::optional<StationUtc> utc_;
    double last_turn_s_ = -1.0;
    std::int64_t last_shift_id_ = -1;
};

} // namespace quietpass
