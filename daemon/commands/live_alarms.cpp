#include "daemon/commands/live_alarms.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <system_error>
#include <utility>

#include "daemon/capture/clock_fit.h"
#include "daemon/checks/outside.h"
#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr std::int64_t kLookEvery_ns = 1'000'000'000;
constexpr std::int64_t kLookAtDiskEvery_ns = 10'000'000'000;
constexpr std::int64_t kLookAtCertificateEvery_ns = 3600'000'000'000;
// Rates go on from so many passages of before: more than any window of theirs.
constexpr std::size_t kRecalled = 2000;
// Another process that writes holds the store for milliseconds; longer is for the next look.
constexpr std::chrono::milliseconds kReadWithin{50};

} // namespace

LiveAlarms::LiveAlarms(const StationSettings& settings, const Schedule& schedule, const Clock& clock,
                       std::filesystem::path out, StoreWriter& store, AlarmOutlet* outlet, Say say)
    : settings_(settings),
      clock_(clock),
      out_(std::move(out)),
      store_(store),
      say_(std::move(say)),
      hand_over_(
          outlet, [&store](AlarmEventRow row) { store.post(std::move(row)); }, say_),
      reader_(out_ / "records.db", kReadWithin),
      book_(
          settings.name, settings.alarms, QuietTimes(settings.timezone, settings.alarms.quiet_times),
          [this](const AlarmEventRow& row) { take_row(row); },
          [this](const AlarmMessage& message) { tell(message); }),
      detectors_(settings_, schedule, book_) {
    const std::vector<AlarmEventRow> rows = reader_.alarm_events();
    if (!rows.empty()) last_event_id_ = rows.back().event_id;
    book_.restore(rows, clock_.utc_ns());
    recall();
}

void LiveAlarms::recall() {
    std::vector<StoredShift> shifts = reader_.shifts();
    std::vector<std::vector<Passage>> latest_first;
    std::size_t count = 0;
    for (auto shift = shifts.rbegin(); shift != shifts.rend() && count < kRecalled; ++shift) {
        if (shift->station != settings_.name) continue;
        auto rows = reader_.read_shift(shift->shift_id);
        if (!rows) continue;
        count += rows->passages.size();
        latest_first.push_back(std::move(rows->passages));
    }
    for (auto passages = latest_first.rbegin(); passages != latest_first.rend(); ++passages) {
        for (const Passage& passage : *passages) detectors_.recall(passage);
    }
}

void LiveAlarms::turn(const LiveStation& live) {
    const std::int64_t now_ns = clock_.utc_ns();
    look_at_sources(live, now_ns);
    detectors_.turn({.utc_ns = now_ns, .heard_until_s = live.heard_until_s(), .utc = live.utc()});
    const std::int64_t monotonic_ns = clock_.monotonic_ns();
    if (monotonic_ns - last_look_ns_ >= kLookEvery_ns) {
        last_look_ns_ = monotonic_ns;
        look_at_clocks(live, now_ns);
        look_at_contacts(live, now_ns);
        look_at_records(now_ns);
        look_at_clips(now_ns);
        take_from_others(now_ns);
    }
    if (last_disk_look_ns_ == 0 || monotonic_ns - last_disk_look_ns_ >= kLookAtDiskEvery_ns) {
        last_disk_look_ns_ = monotonic_ns;
        look_at_disk(now_ns);
    }
    if (last_certificate_look_ns_ == 0 ||
        monotonic_ns - last_certificate_look_ns_ >= kLookAtCertificateEvery_ns) {
        last_certificate_look_ns_ = monotonic_ns;
        look_at_certificate(now_ns);
    }
    book_.advance(now_ns);
}

bool LiveAlarms::finish(const LiveStation& live, std::chrono::milliseconds timeout) {
    turn(live);
    return hand_over_.flush(timeout);
}

void LiveAlarms::take_row(const AlarmEventRow& row) {
    hand_over_.take(std::exchange(message_, std::nullopt), row);
    if (on_row_) on_row_(row);
}

void LiveAlarms::look_at_sources(const LiveStation& live, std::int64_t /*now_ns*/) {
    const LiveStation::Inputs& inputs = live.inputs();
    for (std::size_t i = 0; i < inputs.audio.size(); ++i) {
        detectors_.sound_is_lost(live.microphone_of(i), live.losing_s(i));
    }
    contacts_lost_since_ns_.resize(inputs.contact_sources.size());
    const std::int64_t monotonic_ns = clock_.monotonic_ns();
    for (std::size_t i = 0; i < inputs.contact_sources.size(); ++i) {
        auto& since_ns = contacts_lost_since_ns_[i];
        if (!live.contacts_lost(i)) since_ns.reset();
        if (live.contacts_lost(i) && !since_ns) since_ns = monotonic_ns;
        // Lost at all is more than 0: an animal may have gone unseen.
        const double lost_s =
            since_ns ? std::max(static_cast<double>(monotonic_ns - *since_ns) * 1e-9, 1e-3) : 0.0;
        detectors_.contacts_are_lost(inputs.contact_sources[i], lost_s);
    }
}

void LiveAlarms::say_state(bool there, AlarmCause cause, const std::string& source, const std::string& what,
                           std::int64_t now_ns) {
    if (there) {
        book_.is_there(cause, source, {.what = what, .passage_id = {}, .call_id = {}, .facts = {}}, now_ns);
    } else {
        book_.is_gone(cause, source, now_ns);
    }
}

void LiveAlarms::look_at_clocks(const LiveStation& live, std::int64_t now_ns) {
    for (std::size_t i = 0; i < live.inputs().audio.size(); ++i) {
        const ClockFit* const fit = live.inputs().audio[i]->clock_fit();
        const double error_s = fit != nullptr ? fit->error_s() : 0.0;
        say_state(error_s > settings_.alarms.fit_error_s, AlarmCause::kClockAdrift, live.microphone_of(i),
                  fmt::format("The times of microphone {} are off by up to {:.0f} ms; {:.0f} ms are allowed.",
                              live.microphone_of(i), 1000.0 * error_s, 1000.0 * settings_.alarms.fit_error_s),
                  now_ns);
    }
    say_state(
        live.utc_error_s() > settings_.alarms.clock_error_s, AlarmCause::kClockAdrift, "utc",
        fmt::format("The computer's clock was set: it is {:.1f} s from the time that the records go by.",
                    live.utc_error_s()),
        now_ns);
}

void LiveAlarms::look_at_contacts(const LiveStation& live, std::int64_t now_ns) {
    for (std::size_t i = 0; i < settings_.contacts.size(); ++i) {
        const auto fault = live.contact_fault(i);
        const std::string& contact = settings_.contacts[i].name;
        say_state(fault.has_value(), AlarmCause::kContactFault, contact,
                  fault ? fmt::format("Contact {} is {}.", contact, name_of(*fault)) : "", now_ns);
    }
}

void LiveAlarms::look_at_records(std::int64_t now_ns) {
    const StoreState state = store_.state();
    const std::uint64_t lost = state.dropped + state.malformed;
    const bool losing = lost > std::exchange(rows_lost_, lost);
    say_state(state.failing || losing, AlarmCause::kRecordsNotWritten, "",
              fmt::format("{}; {} rows wait, {} are lost.", state.error, state.waiting, lost), now_ns);
}

void LiveAlarms::look_at_clips(std::int64_t now_ns) {
    if (!clips_) return;
    const ClipState state = clips_();
    const bool losing = state.dropped > std::exchange(clips_lost_, state.dropped);
    say_state(
        state.stopped || losing, AlarmCause::kClipsStopped, "",
        fmt::format("{}; {} clips are lost.",
                    state.stopped ? state.why : "clips can't be written as fast as they come", state.dropped),
        now_ns);
}

void LiveAlarms::look_at_disk(std::int64_t now_ns) {
    std::error_code error;
    const auto space = std::filesystem::space(out_, error);
    if (error) return;
    const double free_mb = static_cast<double>(space.available) * 1e-6;
    say_state(free_mb < settings_.alarms.disk_low_mb, AlarmCause::kDiskLow, "",
              fmt::format("{:.0f} MB are free at {}; the limit is {:.0f} MB.", free_mb, out_.string(),
                          settings_.alarms.disk_low_mb),
              now_ns);
}

void LiveAlarms::look_at_certificate(std::int64_t now_ns) {
    for (const CheckLine& line : check_certificate(settings_, out_, now_ns)) {
        say_state(line.state != CheckState::kGood, AlarmCause::kCertificateEnds, "",
                  fmt::format("The certificate of the page: {}.", line.words), now_ns);
    }
}

void LiveAlarms::take_from_others(std::int64_t now_ns) {
    try {
        for (const AlarmEventRow& row : reader_.alarm_events(last_event_id_)) {
            last_event_id_ = row.event_id;
            if (!row.by.empty() && !row.told) book_.take(row, now_ns);
        }
        store_unreadable_ = false;
    } catch (const Failure& failure) {
        if (!std::exchange(store_unreadable_, true)) say_(true, failure.what());
    }
}

void LiveAlarms::tell(const AlarmMessage& message) {
    message_ = message;
    const bool warning = message.event == "raised" || message.event == "again";
    say_(warning,
         fmt::format("alarm {} {} ({}): {}", message.alarm, message.event, message.cause, message.text));
}

} // namespace quietpass
