#include "tests/soak/soak_plant.h"

#include <sys/resource.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "daemon/alarms/enter_alarm_events.h"
#include "daemon/alarms/stored_alarm.h"
#include "daemon/commands/run_signals.h"
#include "daemon/failure.h"
#include "daemon/records/store.h"
#include "tests/soak/await.h"

namespace quietpass::soak {

namespace {

// Real time: so long that the store's writer, which gives up after five seconds, meets the lock.
constexpr double kHeldLong_s = 6.0;
constexpr double kFullLong_s = 1.5;
constexpr double kForemanEvery_s = 3600.0;

double real_s() {
    return static_cast<double>(RealClock().monotonic_ns()) * 1e-9;
}

void limit_files(rlim_t bytes) {
    rlimit limit{};
    getrlimit(RLIMIT_FSIZE, &limit);
    limit.rlim_cur = std::min(bytes, limit.rlim_max);
    setrlimit(RLIMIT_FSIZE, &limit);
}

} // namespace

SoakPlant::SoakPlant(const Plan& plan, const std::vector<Reel*>& reels, std::filesystem::path out,
                     std::filesystem::path station_file, std::int64_t zero_utc_ns, std::uint64_t seed)
    : plan_(plan),
      out_(std::move(out)),
      station_file_(std::move(station_file)),
      seed_(seed),
      clock_(zero_utc_ns),
      sound_(plan, reels, seed),
      crash_s_(std::numeric_limits<double>::infinity()) {}

SoakPlant::~SoakPlant() = default;

void SoakPlant::set_station(const std::string& text) {
    station_text_ = text;
    RealFiles().write(station_file_, station_text_);
}

RunMicrophones SoakPlant::open_microphones(const StationSettings& /*settings*/) {
    Session session;
    session.opened_s = clock_.world_s();
    const std::filesystem::path store = out_ / "records.db";
    session.shifts_before = SQLite::Database(store.string(), SQLite::OPEN_READONLY, 5000)
                                .execAndGet("SELECT ifnull(max(shift_id), 0) FROM shifts")
                                .getInt64();
    sessions_.push_back(std::move(session));
    scenario::Random random(seed_ + sessions_.size(), "drift");
    auto microphone = std::make_unique<SoakMicrophone>(clock_, sound_, plan_, sessions_.back().times,
                                                       random.uniform(-60.0, 60.0), seed_ + sessions_.size(),
                                                       [this](double world_s) { time_is(world_s); });
    RunMicrophones opened;
    opened.sources.push_back(std::move(microphone));
    opened.hang = [] { return false; };
    return opened;
}

LiveSources SoakPlant::open_contacts(const StationSettings& settings) {
    const double now_s = clock_.world_s();
    std::vector<ScriptedSource::Change> changes(settings.contacts.size());
    for (std::size_t contact = 0; contact < changes.size(); ++contact) {
        changes[contact] = {SoakClock::world_s_of(clock_.monotonic_ns()), contact, false};
    }
    const double boot_s = static_cast<double>(SoakClock::monotonic_ns_of(0.0)) * 1e-9;
    const std::size_t contacts = changes.size();
    for (const ScriptedSource::Change& change : plan_.changes) {
        if (change.time_s <= now_s) {
            changes[change.contact].level = change.level;
        } else {
            changes.push_back({boot_s + change.time_s, change.contact, change.level});
        }
    }
    for (std::size_t contact = 0; contact < contacts; ++contact) changes[contact].time_s = boot_s + now_s;
    std::vector<ScriptedSource::Loss> losses;
    for (const Fault& fault : plan_.faults) {
        if (fault.kind == FaultKind::kContactsLost && fault.end_s > now_s) {
            losses.push_back({boot_s + fault.start_s, boot_s + fault.end_s});
        }
    }
    auto source = std::make_unique<ScriptedSource>(0, clock_, std::move(changes), std::move(losses));
    contacts_ = source.get();
    LiveSources opened;
    opened.sources.push_back(std::move(source));
    opened.source_of.assign(settings.contacts.size(), 0);
    return opened;
}

void SoakPlant::time_is(double world_s) {
    contacts_->play();
    if (under_way_ != nullptr && world_s >= under_way_->end_s) end(*std::exchange(under_way_, nullptr));
    while (next_fault_ < plan_.faults.size() && world_s >= plan_.faults[next_fault_].start_s) {
        const Fault& fault = plan_.faults[next_fault_++];
        begin(fault);
        if (world_s >= fault.end_s) {
            end(fault);
        } else {
            under_way_ = &fault;
        }
    }
    if (world_s >= foreman_due_s_ && under_way_ == nullptr && sound_.powered(world_s)) {
        foreman_looks();
        foreman_due_s_ = world_s + kForemanEvery_s;
    }
    if (world_s >= crash_s_) {
        crash_s_ = std::numeric_limits<double>::infinity();
        throw Crash{};
    }
    if (next_day_ < plan_.day_ends_s.size() && world_s >= plan_.day_ends_s[next_day_]) {
        await_written();
        if (on_day_end) on_day_end(next_day_);
        ++next_day_;
    }
}

// Acknowledges what is new and clears what was acknowledged before, from beside the daemon.
void SoakPlant::foreman_looks() {
    Store store(out_ / "records.db");
    for (const StoredAlarm& alarm : alarms_in(store.alarm_events())) {
        if (!alarm.open()) continue;
        const bool raised = alarm.state == "raised";
        try {
            enter_alarm_events(store, {alarm.id()}, raised ? "acknowledged" : "cleared", "foreman",
                               clock_.utc_ns());
            acknowledged_ += raised ? 1 : 0;
        } catch (const Failure&) {
            // Over since it was looked at: the daemon was quicker.
        }
    }
}

void SoakPlant::begin(const Fault& fault) {
    ++injected_[static_cast<std::size_t>(fault.kind)];
    switch (fault.kind) {
        case FaultKind::kClockStep:
            clock_.step_utc(3600.0 * fault.sign);
            break;
        case FaultKind::kFilesFull:
            files_.be(TroubledFiles::Mood::kFull);
            break;
        case FaultKind::kFilesReadOnly:
            files_.be(TroubledFiles::Mood::kReadOnly);
            break;
        case FaultKind::kFilesSlow:
            files_.be(TroubledFiles::Mood::kSlow);
            break;
        case FaultKind::kDiskFull:
            held_since_ns_ = RealClock().monotonic_ns();
            limit_files(0);
            break;
        case FaultKind::kStoreLocked:
            held_since_ns_ = RealClock().monotonic_ns();
            holder_ = std::make_unique<SQLite::Database>((out_ / "records.db").string(),
                                                         SQLite::OPEN_READWRITE, 10'000);
            holder_->exec("BEGIN IMMEDIATE");
            break;
        case FaultKind::kReceiverDead:
            receiver_.be(Receiver::Mood::kDead);
            break;
        case FaultKind::kReceiverAngry:
            receiver_.be(Receiver::Mood::kAngry);
            break;
        case FaultKind::kReceiverHangs:
            receiver_.be(Receiver::Mood::kHangs);
            break;
        case FaultKind::kReload:
            wish_reload();
            break;
        case FaultKind::kReloadBroken:
            RealFiles().write(station_file_, station_text_ + "\n[[contact]]\nrole = \"entred\"\n");
            wish_reload();
            break;
        default: // the microphone's and the contacts', and what ends a run
            break;
    }
}

void SoakPlant::end(const Fault& fault) {
    const auto real_since = [this] { return real_s() - static_cast<double>(held_since_ns_) * 1e-9; };
    switch (fault.kind) {
        case FaultKind::kClockStep:
            clock_.step_utc(0.0);
            break;
        case FaultKind::kFilesFull:
        case FaultKind::kFilesReadOnly:
        case FaultKind::kFilesSlow:
            files_.be(TroubledFiles::Mood::kWell);
            break;
        case FaultKind::kDiskFull:
            await([&] { return real_since() > kFullLong_s; }, "");
            limit_files(RLIM_INFINITY);
            await_written();
            break;
        case FaultKind::kStoreLocked:
            // One in two lasts longer than the writer is patient.
            if (fault.sign > 0.0) await([&] { return real_since() > kHeldLong_s; }, "");
            holder_->exec("ROLLBACK");
            holder_.reset();
            await_written();
            break;
        case FaultKind::kReceiverDead:
        case FaultKind::kReceiverAngry:
        case FaultKind::kReceiverHangs:
            receiver_.be(Receiver::Mood::kWell);
            break;
        case FaultKind::kReloadBroken:
            RealFiles().write(station_file_, station_text_);
            break;
        default:
            break;
    }
}

void SoakPlant::await_written() {
    const Session& session = sessions_.back();
    const double now_s = clock_.world_s();
    if (session.times.empty() || now_s < session.opened_s + 60.0) return;
    const SQLite::Database store((out_ / "records.db").string(), SQLite::OPEN_READONLY, 5000);
    await(
        [&] {
            // Null, not nothing, while the store was locked from a run's first moment on.
            const auto heard_s = const_cast<SQLite::Database&>(store).execAndGet(
                "SELECT (SELECT heard_until_s FROM shift_progress ORDER BY shift_id DESC LIMIT 1)");
            return !heard_s.isNull() && session.times.world_s(heard_s.getDouble()) > now_s - 60.0;
        },
        "the store is not written any more: " + std::to_string(now_s) + " s into the month");
}

} // namespace quietpass::soak
