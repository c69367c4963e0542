// The clips of a running daemon: sound in memory, the plan of what is kept, and the writer. Told of the
// Station's events and of alarms, it cuts at each turn what is due and hands it to the writer.
//
// Everything on the thread that drives the LiveStation, but the writer's own. Throws Failure at set-up only.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <span>
#include <string>

#include "daemon/clips/clip_plan.h"
#include "daemon/clips/clip_writer.h"
#include "daemon/clips/sound_ring.h"
#include "daemon/commands/live_station.h"
#include "daemon/shift_book.h"

namespace quietpass {

class LiveClips {
  public:
    using Say = std::function<void(bool warning, const std::string& line)>;

    // out: the folder of records.db. A FLAC file holds kMostChannels microphones: of more the first are kept.
    // book, files and clock must outlive it.
    LiveClips(const StationSettings& settings, std::span<const double> rates_hz, const ShiftBook& book,
              Files& files, const Clock& clock, const std::filesystem::path& out, Say say);

    SoundRing* ring() { return &ring_; }
    StationEvents& events() { return plan_; }
    void on_alarm(const AlarmEventRow& row) { plan_.on_alarm(row); }

    // Often.
    void turn(const LiveStation& live);
    // After the Station's finish: what is under way is kept as far as it got.
    void finish(const LiveStation& live);

    ClipState state() const { return writer_.state(); }

  private:
    void take_due(const LiveStation& live);

    SoundRing ring_;
    ClipPlan plan_;
    Say say_;
    ClipWriter writer_;
};

} // namespace quietpass
