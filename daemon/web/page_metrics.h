// The daemon's figures for Prometheus, in its text format by prometheus-cpp. Thread-safe: each figure is an
// atomic number.
#pragma once

#include <cstdint>
#include <memory>
#include <string>

namespace quietpass {

class PageMetrics {
  public:
    explicit PageMetrics(const std::string& station);
    ~PageMetrics();

    void answered(int status);
    void connections(std::size_t now);
    void connection_refused();
    void cut_off(); // a deadline passed
    void live_clients(std::size_t now);
    void live_dropped();                  // a client that took its messages too slowly
    void events_lost(std::uint64_t more); // the daemon's loop was faster than the page
    void login(bool succeeded);
    void passage(bool scored, bool vocal);
    void call(bool counted);
    void heard_until(double station_s);
    void share(double percent); // NaN while nothing was scored
    void open_alarms(std::size_t now);

    std::string text() const;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
