// Files what the Station finds under the shift it belongs to: into the record store as it comes, and as
// calls.csv, passages.csv and shift.json when the shift closes.
//
// A passage belongs to the shift in which it was entered, its calls with it; gaps and stops to each shift
// they touch. Where the schedule has no shift, what happens goes under a shift named "outside". Times are
// station seconds. One thread, the one that drives the Station. Disk trouble of the store is the
// StoreWriter's; what it refuses because too much waits is in no figure either, and is a gap as soon as rows
// are taken again. Trouble with a shift's files throws Failure (exit 1), with the rows safe in the store.
#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/records/files.h"
#include "daemon/records/station_utc.h"
#include "daemon/records/store_rows.h"
#include "daemon/records/store_writer.h"
#include "daemon/settings/station_settings.h"
#include "daemon/shifts/schedule.h"
#include "daemon/shifts/tally.h"
#include "daemon/station.h"

namespace quietpass {

// What a shift record says of the program, profile, configuration and inputs that made it.
struct Provenance {
    std::map<std::string, std::string> versions;
    std::map<std::string, std::string> hashes;
};

// A closed shift.
struct ClosedShift {
    ShiftRecord record;
    std::vector<Passage> passages;
    std::vector<StationCall> calls;
};

class ShiftBook final : public StationEvents {
  public:
    using OnClosed = std::function<void(const ClosedShift&)>;
    using OnPassage = std::function<void(const Passage&)>;
    using OnMinute = std::function<void(const MicrophoneMinute&)>;

    // schedule: null for one shift over everything (`score`). store must outlive the book.
    ShiftBook(const StationSettings& settings, Provenance provenance, const Schedule* schedule,
              StoreWriter& store, OnClosed on_closed, OnPassage on_passage = {}, OnMinute on_minute = {});

    // Of inputs whose hashes were not known yet when the book was made; before finish().
    void add_hashes(const std::map<std::string, std::string>& hashes);

    // Opens the first shift at this station time. utc: absent when files without a date are scored.
    void begin(double start_s, std::optional<StationUtc> utc);

    // How far the audio was heard and everything is settled, and how station time maps to UTC now. Opens and
    // closes shifts at their borders.
    void advance(double heard_until_s, double settled_until_s, std::optional<StationUtc> utc);

    // Closes what is open; no event may follow.
    void finish(double end_s);

    // The shift that a moment belongs to; of those closed, the last. 0 before begin().
    std::int64_t shift_id_of(double time_s) const;

    // The shift that what happens now belongs to; nothing before begin() and after finish().
    struct ShiftNow {
        std::int64_t shift_id = 0;
        std::string name;
        double start_s = 0.0;
    };
    std::optional<ShiftNow> shift_now() const;

    void on_call(const StationCall& call) override;
    void on_passage(const Passage& passage) override;
    void on_gap(const Gap& gap) override;
    void on_stray_edge(const Edge& edge, const std::string& why) override;
    void on_stop(double start_s, double end_s) override;
    void on_health(const MicrophoneMinute& minute) override;
    void on_noise(const StationNoise& noise) override;
    void on_edge(const Edge& edge); // the driver tells each edge that it gives to the Station
    void on_contact_fault(double time_s, const std::string& contact, const std::string& fault,
                          const std::string& detail);

  private:
    struct OpenShift {
        explicit OpenShift(const StationSettings& settings) : tally(settings) {}
        Shift shift{"all", std::nullopt, std::nullopt};
        std::int64_t shift_id = 0;
        double start_s = 0.0;
        std::optional<double> end_s; // known once the border was passed
        std::optional<StationUtc> utc;
        Tally tally;
        ClosedShift rows;
    };

    // false: the store takes no more; what lies between these times will be a gap.
    bool keep(StoreRow row, double from_s, double until_s);
    bool keep(StoreRow row, double time_s) { return keep(std::move(row), time_s, time_s); }
    void tell_not_written();
    void open(double start_s);
    void close_first(double end_s);
    OpenShift& shift_of(double time_s);

    StationSettings settings_;
    Provenance provenance_;
    const Schedule* schedule_;
    StoreWriter& store_;
    OnClosed on_closed_;
    OnPassage on_passage_;
    OnMinute on_minute_;
    std::deque<OpenShift> open_; // oldest first; two for a while after a border
    std::optional<StationUtc> utc_;
    std::optional<double> next_border_s_;
    double last_entered_s_ = 0.0; // of the latest passage told
    double last_heard_told_s_ = 0.0;
    double last_known_s_ = 0.0;
    std::int64_t last_closed_id_ = 0;
    std::optional<std::pair<double, double>> not_written_s_; // from, until
};

// The files of a closed shift: calls.csv, passages.csv and, last, shift.json.
std::vector<NamedBytes> files_of(const ClosedShift& closed);

} // namespace quietpass
