#include "daemon/shift_book.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "daemon/records/calls_csv.h"
#include "daemon/records/passages_csv.h"
#include "daemon/records/shift_json.h"
#include "daemon/shifts/breaks.h"
#include "daemon/shifts/outside_shifts.h"

namespace quietpass {

namespace {

// How often the store learns how far a shift was heard.
constexpr double kTellHeardEvery_s = 5.0;

std::optional<std::int64_t> utc_at(const std::optional<StationUtc>& utc, double time_s) {
    return utc ? utc->at(time_s) : std::nullopt;
}

} // namespace

ShiftBook::ShiftBook(const StationSettings& settings, Provenance provenance, const Schedule* schedule,
                     StoreWriter& store, OnClosed on_closed, OnPassage on_passage, OnMinute on_minute)
    : settings_(settings),
      provenance_(std::move(provenance)),
      schedule_(schedule),
      store_(store),
      on_closed_(std::move(on_closed)),
      on_passage_(std::move(on_passage)),
      on_minute_(std::move(on_minute)) {}

void ShiftBook::add_hashes(const std::map<std::string, std::string>& hashes) {
    provenance_.hashes.insert(hashes.begin(), hashes.end());
}

void ShiftBook::begin(double start_s, std::optional<StationUtc> utc) {
    utc_ = utc;
    last_heard_told_s_ = start_s;
    open(start_s);
}

bool ShiftBook::keep(StoreRow row, double from_s, double until_s) {
    if (store_.post(std::move(row))) {
        tell_not_written();
        return true;
    }
    if (!not_written_s_) not_written_s_.emplace(from_s, until_s);
    not_written_s_->first = std::min(not_written_s_->first, from_s);
    not_written_s_->second = std::max(not_written_s_->second, until_s);
    return false;
}

void ShiftBook::tell_not_written() {
    if (!not_written_s_) return;
    const auto [from_s, until_s] = *std::exchange(not_written_s_, std::nullopt);
    on_gap({"records", from_s, std::max(until_s, last_known_s_), GapCause::kNotWritten});
}

void ShiftBook::open(double start_s) {
    OpenShift shift(settings_);
    shift.start_s = start_s;
    shift.utc = utc_;
    next_border_s_.reset();
    if (const auto now_ns = utc_at(utc_, start_s); schedule_ != nullptr && now_ns) {
        // Half a millisecond in: a border computed back from UTC may lie a rounding before it.
        const std::int64_t inside_ns = *now_ns + 500'000;
        shift.shift =
            schedule_->shift_at(inside_ns).value_or(Shift{kOutsideShifts, std::nullopt, std::nullopt});
        if (const auto border_ns = schedule_->next_border(inside_ns)) {
            next_border_s_ = static_cast<double>(*border_ns - utc_->utc_ns_at_zero) / utc_->ns_per_s;
        }
    }
    shift.shift_id = store_.open_shift({.station = settings_.name,
                                        .species = settings_.species,
                                        .timezone = settings_.timezone,
                                        .name = shift.shift.name,
                                        .start_s = start_s,
                                        .utc = utc_});
    for (const MicrophoneSettings& microphone : settings_.microphones) {
        store_.post(MicrophoneRow{shift.shift_id, microphone.name, microphone.reference});
    }
    open_.push_back(std::move(shift));
}

void ShiftBook::advance(double heard_until_s, double settled_until_s, std::optional<StationUtc> utc) {
    utc_ = utc;
    last_known_s_ = heard_until_s;
    while (next_border_s_ && heard_until_s >= *next_border_s_) {
        const double border_s = *next_border_s_;
        open_.back().end_s = border_s;
        open(border_s);
    }
    // A passage entered before the border may still come until none can be under way any more.
    const double longest_s =
        settings_.restraint.longest_s + settings_.restraint.after_stun_s + settings_.restraint.entry_before_s;
    while (open_.size() > 1) {
        const double end_s = *open_.front().end_s;
        if (settled_until_s < end_s) break;
        if (last_entered_s_ < end_s && settled_until_s < end_s + longest_s) break;
        close_first(end_s);
    }
    if (heard_until_s >= last_heard_told_s_ + kTellHeardEvery_s && !open_.empty()) {
        last_heard_told_s_ = heard_until_s;
        store_.post(ShiftHeard{open_.back().shift_id, heard_until_s, utc_});
    }
}

void ShiftBook::finish(double end_s) {
    last_known_s_ = end_s;
    tell_not_written();
    while (!open_.empty()) close_first(open_.front().end_s.value_or(end_s));
}

void ShiftBook::close_first(double end_s) {
    OpenShift& shift = open_.front();
    if (const auto from_ns = utc_at(utc_, shift.start_s), to_ns = utc_at(utc_, end_s); from_ns && to_ns) {
        for (const auto& [start_ns, stop_ns] : breaks_between(settings_, *from_ns, *to_ns)) {
            const auto station_s = [&](std::int64_t utc_ns) {
                return static_cast<double>(utc_ns - utc_->utc_ns_at_zero) / utc_->ns_per_s;
            };
            shift.tally.add_stop(station_s(start_ns), station_s(stop_ns));
        }
    }
    ClosedShift closed = std::move(shift.rows);
    closed.record = shift.tally.record(shift.start_s, end_s);
    closed.record.shift = shift.shift.name;
    closed.record.start_utc_ns = utc_at(shift.utc, shift.start_s);
    closed.record.end_utc_ns = utc_at(utc_, end_s);
    closed.record.versions = provenance_.versions;
    closed.record.hashes = provenance_.hashes;
    store_.post(ShiftClosed{shift.shift_id, end_s, utc_, shift_json(closed.record)});
    last_closed_id_ = shift.shift_id;
    open_.pop_front();
    on_closed_(closed);
}

ShiftBook::OpenShift& ShiftBook::shift_of(double time_s) {
    for (OpenShift& shift : open_) {
        if (!shift.end_s || time_s < *shift.end_s) return shift;
    }
    return open_.back();
}

std::int64_t ShiftBook::shift_id_of(double time_s) const {
    for (const OpenShift& shift : open_) {
        if (!shift.end_s || time_s < *shift.end_s) return shift.shift_id;
    }
    return last_closed_id_;
}

std::optional<ShiftBook::ShiftNow> ShiftBook::shift_now() const {
    if (open_.empty()) return std::nullopt;
    return ShiftNow{open_.back().shift_id, open_.back().shift.name, open_.back().start_s};
}

void ShiftBook::on_call(const StationCall& call) {
    OpenShift& shift = shift_of(call.passage_entered_s.value_or(call.heard.start_s));
    if (!keep(CallRow{shift.shift_id, settings_.species, call, utc_}, call.heard.start_s, call.heard.end_s))
        return;
    shift.tally.add(call);
    shift.rows.calls.push_back(call);
}

void ShiftBook::on_passage(const Passage& passage) {
    OpenShift& shift = shift_of(passage.entered_s);
    last_entered_s_ = std::max(last_entered_s_, passage.entered_s);
    if (keep(PassageRow{shift.shift_id, passage, utc_}, passage.entered_s, passage.end_s)) {
        shift.tally.add(passage);
        shift.rows.passages.push_back(passage);
    }
    if (on_passage_) on_passage_(passage);
}

void ShiftBook::on_gap(const Gap& gap) {
    for (OpenShift& shift : open_) {
        if (gap.end_s <= shift.start_s || (shift.end_s && gap.start_s >= *shift.end_s)) continue;
        shift.tally.add(gap);
        keep(GapRow{shift.shift_id, gap, utc_}, gap.start_s, gap.end_s);
    }
}

void ShiftBook::on_stop(double start_s, double end_s) {
    for (OpenShift& shift : open_) {
        if (end_s <= shift.start_s || (shift.end_s && start_s >= *shift.end_s)) continue;
        shift.tally.add_stop(start_s, end_s);
    }
}

// A minute across a border goes with the shift in which it ends.
void ShiftBook::on_health(const MicrophoneMinute& minute) {
    keep(MinuteRow{shift_of(minute.end_s).shift_id, minute, utc_}, minute.start_s, minute.end_s);
    if (on_minute_) on_minute_(minute);
}

void ShiftBook::on_noise(const StationNoise& noise) {
    const double filed_s = noise.passage_entered_s.value_or(noise.heard.start_s);
    keep(NoiseRow{shift_of(filed_s).shift_id, noise, utc_}, noise.heard.start_s, noise.heard.end_s);
}

void ShiftBook::on_edge(const Edge& edge) {
    keep(EdgeRow{shift_of(edge.time_s).shift_id, edge, utc_}, edge.time_s);
}

void ShiftBook::on_stray_edge(const Edge& edge, const std::string& why) {
    on_contact_fault(edge.time_s, std::string(name_of(edge.role)), "stray_edge", why);
}

void ShiftBook::on_contact_fault(double time_s, const std::string& contact, const std::string& fault,
                                 const std::string& detail) {
    keep(ContactFaultRow{.shift_id = shift_of(time_s).shift_id,
                         .time_s = time_s,
                         .contact = contact,
                         .fault = fault,
                         .detail = detail,
                         .utc = utc_},
         time_s);
}

std::vector<NamedBytes> files_of(const ClosedShift& closed) {
    return {{"calls.csv", calls_csv(closed.record.species, closed.calls)},
            {"passages.csv", passages_csv(closed.passages)},
            {"shift.json", shift_json(closed.record)}};
}

} // namespace quietpass
