#include "daemon/commands/run_command.h"

#include <malloc.h>

#include <utility>

#include "daemon/alarms/delivery/delivery_plans.h"
#include "daemon/commands/daily_head.h"
#include "daemon/commands/killed_shifts.h"
#include "daemon/commands/live_alarms.h"
#include "daemon/commands/live_clips.h"
#include "daemon/commands/live_page.h"
#include "daemon/commands/live_station.h"
#include "daemon/commands/provenance.h"
#include "daemon/commands/run_evidence.h"
#include "daemon/commands/run_folder.h"
#include "daemon/commands/run_inputs.h"
#include "daemon/commands/run_log.h"
#include "daemon/commands/run_news.h"
#include "daemon/commands/run_signals.h"
#include "daemon/commands/settings_in_force.h"
#include "daemon/commands/shift_files.h"
#include "daemon/commands/shift_signatures.h"
#include "daemon/contacts/contacts_csv.h"
#include "daemon/event_fan_out.h"
#include "daemon/failure.h"
#include "daemon/web/sessions.h"

namespace quietpass {

namespace {

LiveStation::Inputs inputs_of(const RunMicrophones& microphones, const LiveSources& contacts,
                              ContactQueue& queue, SoundRing* ring, SoundListener* beside) {
    LiveStation::Inputs inputs;
    inputs.ring = ring;
    inputs.beside = beside;
    for (const auto& microphone : microphones.sources) inputs.audio.push_back(microphone.get());
    inputs.contacts = &queue;
    for (const auto& source : contacts.sources) inputs.contact_sources.push_back(source->name());
    return inputs;
}

// How long the end waits for the disk.
constexpr std::chrono::seconds kLastRows{10};

void flush(StoreWriter& store, const std::filesystem::path& records) {
    if (store.flush(kLastRows)) return;
    throw Failure(kExitFailure, records.string() + ": the last rows could not be written (" +
                                    store.state().error + "); free the disk and look at the log");
}

// Those on the disk now; nothing, and why, when they can't be taken.
std::optional<SettingsInForce> settings_anew(const RunOptions& options, RunNews& news) {
    try {
        return settings_in_force(options.station, options.out);
    } catch (const Failure& wrong) {
        news.reload_refused(wrong.what());
        return std::nullopt;
    }
}

// Clips are some megabytes each, made on one thread and let go on another. Left to itself malloc comes to
// take them from its heaps, a heap a thread, which hold on to more and more for weeks; mapped, each is given
// back at once.
void give_back_what_is_large() {
    mallopt(M_MMAP_THRESHOLD, 128 << 10);
    mallopt(M_ARENA_MAX, 2);
}

struct Heard {
    double seconds = 0.0;
    std::optional<SettingsInForce> next; // ended to be begun again with these
};

// What outlives a reload.
struct Kept {
    RealClock clock;
    Sessions sessions{clock, {}}; // who is logged in on the page
    bool listened = false;        // the last run came as far as that
};

Heard run_with_settings(const RunOptions& options, RunInputs& computer, const SettingsInForce& in_force,
                        Kept& kept, const std::shared_ptr<spdlog::logger>& log, RunNews& news) {
    kept.listened = false;
    StationSettings settings = in_force.settings;
    const std::optional<ProfileFile>& profile = in_force.profile;
    const auto say = [&news](bool warning, const std::string& line) { news.say(warning, line); };
    const Clock& clock = computer.clock();

    Files& files = computer.files();
    const RunFolder folder(files, options.out);
    Provenance provenance = provenance_of(settings, profile ? &*profile : nullptr);
    folder.calibrate(settings, provenance, clock);
    const ShiftFiles shift_files(files, folder.path(), log);
    const auto write_files = [&shift_files](const ClosedShift& closed) {
        shift_files.write(closed);
        // What is free between what is in use, of every thread: malloc keeps it, and more of it every week.
        malloc_trim(0);
    };
    Store opened(folder.records());
    refuse_damaged(opened);
    sign_records(opened, settings, folder.path(), clock, say);
    record_documents(opened, settings, profile ? &*profile : nullptr, folder.path(), clock);
    news.killed_shifts(close_killed_shifts(settings, provenance, opened, write_files));

    // What an earlier run left in the outbox goes out now.
    const auto delivery = open_delivery(settings, folder.path(), computer.receivers_clock(), say);

    const RunMicrophones microphones = computer.open_microphones(settings);
    ContactQueue queue; // outlives the sources that post to it, whatever is thrown
    const LiveSources contacts = computer.open_contacts(settings);
    const Schedule schedule(settings.timezone, settings.shifts);
    StoreWriter store(std::move(opened), {}, [&news](const StoreState& state) { news.records(state); });
    std::optional<ContactsCsvWriter> edges;

    ShiftSignatures signatures(files, folder.path(), say);
    DailyHead daily(settings.timezone);
    LiveAlarms alarms(settings, schedule, clock, folder.path(), store, delivery.get(), say);
    ShiftBook book(
        settings, provenance, &schedule, store, write_files,
        [&news](const Passage& passage) { news.passage(passage); },
        [&news](const MicrophoneMinute& minute) { news.health(minute); });
    const std::vector<double> rates_hz = microphones.rates_hz();
    LiveClips clips(settings, rates_hz, book, files, clock, folder.path(), say);
    LivePage page(settings, book, folder.path(), say, {wish_reload, &kept.sessions});
    alarms.tell_rows_to([&clips, &page](const AlarmEventRow& row) {
        clips.on_alarm(row);
        page.on_alarm(row);
    });
    if (settings.clips.any()) alarms.watch_clips([&clips] { return clips.state(); });
    std::vector<StationEvents*> receivers = {&book, &alarms.events(), &clips.events()};
    page.add_to(receivers);
    EventFanOut events(receivers);
    Station station(settings, profile ? &profile->profile : nullptr, rates_hz, events);
    LiveStation live(settings, clock, inputs_of(microphones, contacts, queue, clips.ring(), page.sound()),
                     contacts.source_of, station, book, say, [&](const ContactNews& contact) {
                         if (contact.what == ContactNews::What::kEdge) {
                             alarms.on_edge(contact.edge);
                             page.on_edge(contact.edge);
                         }
                         news.edges_file(edges->write(contact));
                     });

    page.start();
    // From here on it listens: a start that is refused, and tried again for ever, leaves no file each time.
    edges.emplace(folder.contacts(clock.utc_ns()).string(), settings);
    for (const auto& source : contacts.sources) source->start(queue);
    news.listening(settings, profile.has_value());
    kept.listened = true;
    Heard heard;
    std::atomic<bool> leave{false};
    live.listen(leave, options.for_s, [&](std::int64_t samples) {
        alarms.turn(live);
        clips.turn(live);
        signatures.turn(clock.monotonic_ns());
        if (daily.due(clock.utc_ns())) store.post(SignHead{"day"});
        page.turn(live);
        if (take_reload_wish()) heard.next = settings_anew(options, news);
        leave.store(heard.next || stop_wished());
        news.heard(samples, microphones.hang());
    });
    alarms.finish(live, kLastRows); // with what the end brought
    store.flush(kLastRows);         // a clip's row names its shift, whose row must be there before
    clips.finish(live);
    if (!heard.next) news.stopping();
    page.stop();
    for (const auto& source : contacts.sources) source->stop();
    store.post(SignHead{"stop"});
    flush(store, folder.records());
    signatures.look();
    heard.seconds = live.heard_until_s();
    log->info("{} after {:.1f} s of audio", heard.next ? "settings anew" : "stopped", heard.seconds);
    return heard;
}

} // namespace

void run(const RunOptions& options) {
    const auto computer = computers_inputs(options.speed);
    run(options, *computer);
}

void run(const RunOptions& options, RunInputs& computer) {
    install_signals();
    give_back_what_is_large();
    Kept kept;
    RunOptions rest = options;
    SettingsInForce in_force = settings_in_force(options.station, options.out);
    std::optional<SettingsInForce> before; // to go back to when a reload comes to nothing
    const auto log = make_log(options.log);
    RunNews news(log, options.show);
    while (true) {
        Heard heard;
        try {
            heard = run_with_settings(rest, computer, in_force, kept, log, news);
        } catch (const Failure& wrong) {
            if (!before || kept.listened) throw;
            news.reload_refused(wrong.what());
            in_force = *std::exchange(before, std::nullopt);
            continue;
        }
        if (!heard.next || stop_wished()) return;
        if (options.for_s > 0.0) {
            rest.for_s -= heard.seconds;
            if (rest.for_s <= 0.0) return;
        }
        before = std::exchange(in_force, std::move(*heard.next));
    }
}

} // namespace quietpass
