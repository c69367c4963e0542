// What the live page shows: the share of this shift so far, the last passages with their calls, open alarms,
// where the animal is now, contacts and levels. Fed with events, it gives the message that each makes for
// live clients, and at any time a snapshot of all. FORMATS.md has both.
//
// apply() on one thread; snapshot() and is_open() on any.
#pragma once

#include <cstddef>
#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <set>
#include <string>
#include <vector>

#include "daemon/settings/station_settings.h"
#include "daemon/shifts/tally.h"
#include "daemon/web/live_event.h"
#include "daemon/web/page_metrics.h"

namespace quietpass {

class LiveBoard {
  public:
    using Message = std::shared_ptr<const std::string>;
    using Send = std::function<void(const Message&)>;

    // metrics must outlive it.
    LiveBoard(const StationSettings& settings, PageMetrics& metrics);

    // Alarms of before the start, in the order of writing.
    void recall(const std::vector<AlarmEventRow>& rows);
    // `send` is called for each message that comes of it, in order.
    void apply(const LiveEvent& event, const Send& send);

    std::optional<std::int64_t> heard_until_utc_ns() const;
    // The message `hello`.
    Message snapshot() const;
    bool is_open(std::int64_t alarm_id) const; // on any thread

  private:
    struct ShiftSoFar {
        ShiftSoFar(const StationSettings& settings, double from_s) : tally(settings), start_s(from_s) {}
        Tally tally;
        std::string name;
        double start_s = 0.0;
        std::optional<std::int64_t> start_utc_ns;
    };
    struct Parts; // JSON, kept out of here

    ShiftSoFar& shift_of(std::int64_t shift_id, double time_s);
    void take(const LiveEvent& event, const LiveTurn& turn, const Send& send);
    void take(const LiveEvent& event, const StationCall& call, const Send& send);
    void take(const LiveEvent& event, const Passage& passage, const Send& send);
    void take(const LiveEvent& event, const Gap& gap, const Send& send);
    void take(const LiveEvent& event, const LiveStop& stop, const Send& send);
    void take(const LiveEvent& event, const Edge& edge, const Send& send);
    void take(const LiveEvent& event, const PhaseNow& now, const Send& send);
    void take(const LiveEvent& event, const MicrophoneMinute& minute, const Send& send);
    void take(const LiveEvent& event, const AlarmEventRow& row, const Send& send);
    void take(const LiveEvent& event, const LiveLevel& level, const Send& send);
    void take(const LiveEvent& event, const LiveSpectrum& column, const Send& send);
    std::size_t microphone_named(const std::string& name) const; // as many as there are: none
    bool take_alarm(const AlarmEventRow& row);
    std::string share_text() const;    // a JSON object
    std::string spectrum_text() const; // of the last seconds
    void tell_share(const Send& send);

    StationSettings settings_;
    PageMetrics& metrics_;
    mutable std::mutex lock_; // of all below
    std::map<std::int64_t, ShiftSoFar> shifts_;
    double heard_until_s_ = 0.0;
    std::optional<std::int64_t> heard_until_utc_ns_;
    std::deque<std::string> passages_;                        // JSON, oldest first
    std::map<std::int64_t, std::vector<std::string>> calls_;  // JSON, of passages under way
    std::map<std::int64_t, std::vector<AlarmEventRow>> open_; // rows of open alarms
    std::set<std::string> seen_alarm_rows_;
    std::deque<std::string> seen_in_order_;
    std::string now_ = "null";
    std::map<std::string, std::string> contacts_;           // JSON by role
    std::map<std::string, std::string> levels_;             // JSON by microphone
    struct Heard {                                          // of a microphone
        double level_until_s = -1e9;                        // the latest level's end
        std::optional<double> background_db;                // of the last minute
        std::deque<std::pair<double, std::string>> columns; // start, JSON
    };
    std::vector<Heard> heard_; // by microphone
    mutable Message snapshot_; // null: to be made anew
};

} // namespace quietpass
