#include "daemon/web/page_metrics.h"

#include <prometheus/counter.h>
#include <prometheus/gauge.h>
#include <prometheus/registry.h>
#include <prometheus/text_serializer.h>

#include "daemon/build_facts.h"

namespace quietpass {

namespace {

using prometheus::BuildCounter;
using prometheus::BuildGauge;
using Labels = std::map<std::string, std::string>;

struct Maker {
    prometheus::Registry& registry;
    Labels of_station;

    prometheus::Family<prometheus::Counter>& counters(const std::string& name,
                                                      const std::string& help) const {
        return BuildCounter().Name("quietpass_" + name).Help(help).Labels(of_station).Register(registry);
    }
    prometheus::Counter& counter(const std::string& name, const std::string& help) const {
        return counters(name, help).Add({});
    }
    prometheus::Gauge& gauge(const std::string& name, const std::string& help) const {
        return BuildGauge()
            .Name("quietpass_" + name)
            .Help(help)
            .Labels(of_station)
            .Register(registry)
            .Add({});
    }
};

} // namespace

struct PageMetrics::Parts {
    explicit Parts(const std::string& station)
        : make{registry, {{"station", station}}},
          answers(make.counters("http_answers_total", "Answers by class of status")),
          connections(make.gauge("http_connections", "Open connections")),
          refused(make.counter("http_connections_refused_total", "Connections beyond the limits")),
          cut_off(make.counter("http_cut_off_total", "Connections that a deadline ended")),
          live(make.gauge("live_clients", "Open live feeds")),
          live_dropped(make.counter("live_dropped_total", "Live feeds dropped because they were too slow")),
          events_lost(make.counter("live_events_lost_total", "Events that never got to the page")),
          logins(make.counters("logins_total", "Logins by outcome")),
          passages(make.counters("passages_total", "Passages since the start")),
          calls(make.counters("calls_total", "Calls since the start")),
          heard(make.gauge("heard_seconds", "Seconds of sound heard since the start")),
          share(make.gauge("vocal_percent", "Vocal passages of the shift so far, percent; NaN: none scored")),
          alarms(make.gauge("open_alarms", "Alarms that are not cleared")) {
        BuildGauge()
            .Name("quietpass_build_info")
            .Help("What runs")
            .Register(registry)
            .Add({{"version", kVersion}})
            .Set(1);
    }

    prometheus::Registry registry;
    Maker make;
    prometheus::Family<prometheus::Counter>& answers;
    prometheus::Gauge& connections;
    prometheus::Counter& refused;
    prometheus::Counter& cut_off;
    prometheus::Gauge& live;
    prometheus::Counter& live_dropped;
    prometheus::Counter& events_lost;
    prometheus::Family<prometheus::Counter>& logins;
    prometheus::Family<prometheus::Counter>& passages;
    prometheus::Family<prometheus::Counter>& calls;
    prometheus::Gauge& heard;
    prometheus::Gauge& share;
    prometheus::Gauge& alarms;
};

PageMetrics::PageMetrics(const std::string& station) : parts_(std::make_unique<Parts>(station)) {}
PageMetrics::~PageMetrics() = default;

void PageMetrics::answered(int status) {
    parts_->answers.Add({{"class", std::to_string(status / 100) + "xx"}}).Increment();
}
void PageMetrics::connections(std::size_t now) {
    parts_->connections.Set(static_cast<double>(now));
}
void PageMetrics::connection_refused() {
    parts_->refused.Increment();
}
void PageMetrics::cut_off() {
    parts_->cut_off.Increment();
}
void PageMetrics::live_clients(std::size_t now) {
    parts_->live.Set(static_cast<double>(now));
}
void PageMetrics::live_dropped() {
    parts_->live_dropped.Increment();
}
void PageMetrics::events_lost(std::uint64_t more) {
    parts_->events_lost.Increment(static_cast<double>(more));
}
void PageMetrics::login(bool succeeded) {
    parts_->logins.Add({{"outcome", succeeded ? "done" : "failed"}}).Increment();
}
void PageMetrics::passage(bool scored, bool vocal) {
    parts_->passages.Add({{"outcome", !scored ? "not_scored" : vocal ? "vocal" : "silent"}}).Increment();
}
void PageMetrics::call(bool counted) {
    parts_->calls.Add({{"counted", counted ? "1" : "0"}}).Increment();
}
void PageMetrics::heard_until(double station_s) {
    parts_->heard.Set(station_s);
}
void PageMetrics::share(double percent) {
    parts_->share.Set(percent);
}
void PageMetrics::open_alarms(std::size_t now) {
    parts_->alarms.Set(static_cast<double>(now));
}

std::string PageMetrics::text() const {
    return prometheus::TextSerializer().Serialize(parts_->registry.Collect());
}

} // namespace quietpass
