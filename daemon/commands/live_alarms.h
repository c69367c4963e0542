// The alarms of a running daemon: the detectors and the book, fed by the Station's events and by a look at
// LiveStation, the StoreWriter, the disk and the clocks at each turn. Messages go to the log and to the
// outlet, rows to the store after their messages, by a thread that waits for the disk (AlarmHandOver). What
// persons acknowledge or clear by another process is found in the store within a second.
//
// Everything else on the thread that drives the LiveStation. Throws Failure at set-up only (the store can't
// be read, no time zone data); after that trouble is a line in the log.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/alarm_book.h"
#include "daemon/alarms/delivery/alarm_hand_over.h"
#include "daemon/alarms/station_alarms.h"
#include "daemon/clips/clip_filer.h"
#include "daemon/clock.h"
#include "daemon/commands/live_station.h"
#include "daemon/records/store.h"
#include "daemon/records/store_writer.h"

namespace quietpass {

class LiveAlarms {
  public:
    using Say = std::function<void(bool warning, const std::string& line)>;

    // out: the folder of records.db. outlet: null where nothing is set to deliver to.
    LiveAlarms(const StationSettings& settings, const Schedule& schedule, const Clock& clock,
               std::filesystem::path out, StoreWriter& store, AlarmOutlet* outlet, Say say);

    StationEvents& events() { return detectors_; }
    // Each row of an alarm, as it is handed to the store.
    void tell_rows_to(std::function<void(const AlarmEventRow&)> on_row) { on_row_ = std::move(on_row); }
    // How it is with the clips; asked about once a second.
    void watch_clips(std::function<ClipState()> clips) { clips_ = std::move(clips); }
    void on_edge(const Edge& edge) { detectors_.on_edge(edge); }

    // Often: what the Station found since the last turn is told now.
    void turn(const LiveStation& live);
    // The last turn; false: not all of it reached the outbox and the store's writer within `timeout`.
    bool finish(const LiveStation& live, std::chrono::milliseconds timeout);

  private:
    void recall();
    void take_row(const AlarmEventRow& row);
    void look_at_sources(const LiveStation& live, std::int64_t now_ns);
    void look_at_clocks(const LiveStation& live, std::int64_t now_ns);
    void look_at_contacts(const LiveStation& live, std::int64_t now_ns);
    void look_at_records(std::int64_t now_ns);
    void look_at_clips(std::int64_t now_ns);
    void look_at_disk(std::int64_t now_ns);
    void look_at_certificate(std::int64_t now_ns);
    void take_from_others(std::int64_t now_ns);
    void say_state(bool there, AlarmCause cause, const std::string& source, const std::string& what,
                   std::int64_t now_ns);
    void tell(const AlarmMessage& message);

    StationSettings settings_;
    const Clock& clock_;
    std::filesystem::path out_;
    StoreWriter& store_;
    Say say_;
    AlarmHandOver hand_over_;
    std::optional<AlarmMessage> message_; // told, its row is still to come
    std::function<void(const AlarmEventRow&)> on_row_;
    std::function<ClipState()> clips_;
    Store reader_;
    AlarmBook book_;
    StationAlarms detectors_;
    std::int64_t last_event_id_ = 0;
    std::int64_t last_look_ns_ = 0; // monotonic
    std::int64_t last_disk_look_ns_ = 0;
    std::int64_t last_certificate_look_ns_ = 0;
    std::uint64_t rows_lost_ = 0;
    std::uint64_t clips_lost_ = 0;
    std::vector<std::optional<std::int64_t>> contacts_lost_since_ns_; // of each source, monotonic
    bool store_unreadable_ = false;
};

} // namespace quietpass
