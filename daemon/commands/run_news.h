// What the daemon says of its run: lines of the log, the status for the service manager, passages on standard
// output. On the thread that drives the Station, but records(), which is the store writer's.
#pragma once

#include <spdlog/logger.h>

#include <memory>
#include <string>

#include "classifiers/profile.h"
#include "daemon/commands/health_news.h"
#include "daemon/commands/service_manager.h"
#include "daemon/passages/passage.h"
#include "daemon/records/store_writer.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

class RunNews {
  public:
    // show: passages are printed too.
    RunNews(std::shared_ptr<spdlog::logger> log, bool show) : log_(std::move(log)), show_(show) {}

    void say(bool warning, const std::string& line);
    void killed_shifts(std::size_t count);
    void listening(const StationSettings& settings, bool scores);
    // Heard so far; hanging: only a restart of the process helps, so the service manager is to do it.
    void heard(std::int64_t samples, bool hanging);
    void passage(const Passage& passage);
    void health(const MicrophoneMinute& minute);
    void records(const StoreState& state);
    void edges_file(bool written);
    void reload_refused(const std::string& why);
    void stopping() { manager_.stopping(); }

  private:
    std::shared_ptr<spdlog::logger> log_;
    bool show_;
    bool cuts_ = false; // the station has `cut`
    ServiceManager manager_;
    HealthNews health_news_;
    bool told_ready_ = false;
    bool edges_failing_ = false;
};

} // namespace quietpass
