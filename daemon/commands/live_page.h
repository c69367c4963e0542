// The page of a running daemon, where the station file has [page]; else all of it does nothing. Everything on
// the thread that drives the LiveStation. Throws Failure at set-up only.
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "daemon/clock.h"
#include "daemon/commands/live_station.h"
#include "daemon/web/live_feed.h"
#include "daemon/web/live_sound.h"
#include "daemon/web/page.h"

namespace quietpass {

class LivePage {
  public:
    // out: the folder of records.db. settings, book and what `say` refers to must outlive it.
    LivePage(const StationSettings& settings, const ShiftBook& book, const std::filesystem::path& out,
             Page::Say say, PageLinks links) {
        if (!settings.page.on) return;
        feed_.emplace(book);
        sound_.emplace(*feed_);
        page_.emplace(settings, clock_, out, *feed_, std::move(say), std::move(links));
    }

    // What the Station is to tell, after the book: nobody, or the page.
    void add_to(std::vector<StationEvents*>& receivers) {
        if (feed_) receivers.push_back(&*feed_);
    }
    void on_edge(const Edge& edge) {
        if (feed_) feed_->on_edge(edge);
    }
    void on_alarm(const AlarmEventRow& row) {
        if (feed_) feed_->on_alarm(row);
    }
    // Hears what the Station hears; null: nobody does.
    SoundListener* sound() { return sound_ ? &*sound_ : nullptr; }
    void start() {
        if (page_) page_->start();
    }
    // Often.
    void turn(const LiveStation& live) {
        if (feed_) feed_->turn(live.heard_until_s(), live.utc());
    }
    void stop() {
        if (page_) page_->stop();
    }

  private:
    RealClock clock_; // people live in real time, whatever the station's speed
    std::optional<LiveFeed> feed_;
    std::optional<LiveSound> sound_;
    std::optional<Page> page_;
};

} // namespace quietpass
