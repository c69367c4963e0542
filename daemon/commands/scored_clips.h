// The clips of a scored shift: of calls and of the quiet sample, the same stretches and samples as the daemon
// would have filed while it heard this; none of alarms, which `score` has none of. They are written aside,
// and take their place as OUT/clips, in that of an earlier score's, once the whole shift is written.
//
// ClipsAside is that folder; ScoredClips fills it and is gone before it takes its place. One thread, but that
// the ring hears each microphone on a thread of its own. Errors: Failure, exit 2 for a folder that is a
// daemon's, exit 1 for a clip that the disk refused.
#pragma once

#include <filesystem>
#include <optional>
#include <span>

#include "daemon/clips/clip_filer.h"
#include "daemon/clips/clip_plan.h"
#include "daemon/clips/sound_ring.h"
#include "daemon/clock.h"
#include "daemon/records/store_writer.h"
#include "daemon/shift_book.h"

namespace quietpass {

class ClipsAside {
  public:
    // Throws for a daemon's folder.
    explicit ClipsAside(const std::filesystem::path& out);
    ~ClipsAside(); // what was not kept goes
    ClipsAside(const ClipsAside&) = delete;
    ClipsAside& operator=(const ClipsAside&) = delete;

    const std::filesystem::path& path() const { return path_; }
    // All else is written: they take their place.
    void keep(Files& files) const;

  private:
    std::filesystem::path out_;
    std::filesystem::path path_;
};

class ScoredClips {
  public:
    // store: of the writer's file, which both write to in turn. The others must outlive it.
    ScoredClips(const StationSettings& settings, std::span<const double> rates_hz, const ShiftBook& book,
                StoreWriter& writer, Files& files, Store store, const ClipsAside& aside);

    SoundRing& ring() { return ring_; }
    StationEvents& events() { return plan_; }

    // After each round of sound, and once after the last.
    void turn(const std::optional<StationUtc>& utc);
    void finish(double end_s, const std::optional<StationUtc>& utc);

  private:
    void file_due(const std::optional<StationUtc>& utc);

    StoreWriter& writer_;
    RealClock clock_;
    SoundRing ring_;
    ClipPlan plan_;
    ClipFiler filer_;
};

} // namespace quietpass
