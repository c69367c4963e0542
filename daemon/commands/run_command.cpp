#include "daemon/commands/run_command.h"

#include "daemon/alarms/delivery/delivery_plans.h"
#include "daemon/commands/daily_head.h"
#include "daemon/commands/killed_shifts.h"
#include "daemon/commands/live_alarms.h"
#include "daemon/commands/live_clips.h"
#include "daemon/commands/live_microphones.h"
#include "daemon/commands/live_page.h"
#include "daemon/commands/live_station.h"
#include "daemon/commands/provenance.h"
#include "daemon/commands/run_evidence.h"
#include "daemon/commands/run_folder.h"
#include "daemon/commands/run_log.h"
#include "daemon/commands/run_news.h"
#include "daemon/commands/run_signals.h"
#include "daemon/commands/shift_files.h"
#include "daemon/commands/shift_signatures.h"
#include "daemon/contacts/contacts_csv.h"
#include "daemon/contacts/live_sources.h"
#include "daemon/event_fan_out.h"
#include "daemon/failure.h"
#include "daemon/profile_file.h"
#include "daemon/settings/station_file.h"

namespace quietpass {

namespace {

LiveStation::Inputs inputs_of(const LiveMicrophones& microphones, const LiveSources& contacts,
                              ContactQueue& queue, SoundRing* ring, SoundListener* beside) {
    LiveStation::Inputs inputs;
    inputs.ring = ring;
    inputs.beside = beside;
    for (const auto& microphone : microphones) inputs.audio.push_back(microphone.get());
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

} // namespace

void run(const RunOptions& options) {
    install_signals();
    StationSettings settings = read_station_file(options.station);
    const auto profile = read_profile(settings.species, settings.profile);
    const auto log = make_log(options.log);
    RunNews news(log, options.show);
    const auto say = [&news](bool warning, const std::string& line) { news.say(warning, line); };
    const ScaledClock clock(options.speed);

    RealFiles files;
    const RunFolder folder(files, options.out);
    Provenance provenance = provenance_of(settings, profile ? &*profile : nullptr);
    folder.calibrate(settings, provenance, clock);
    const ShiftFiles shift_files(files, folder.path(), log);
    const auto write_files = [&shift_files](const ClosedShift& closed) { shift_files.write(closed); };
    Store opened(folder.records());
    refuse_damaged(opened);
    sign_records(opened, settings, folder.path(), clock, say);
    record_documents(opened, settings, profile ? &*profile : nullptr, folder.path(), clock);
    news.killed_shifts(close_killed_shifts(settings, provenance, opened, write_files));

    // What an earlier run left in the outbox goes out now. Receivers live in real time, whatever the speed.
    const RealClock real_clock;
    const auto delivery = open_delivery(settings, folder.path(), real_clock, say);

    PortAudioThread audio;
    const auto microphones = open_microphones(settings, audio, clock);
    ContactQueue queue; // outlives the sources that post to it, whatever is thrown
    const LiveSources contacts = live_sources(settings, clock);
    const Schedule schedule(settings.timezone, settings.shifts);
    StoreWriter store(std::move(opened), {}, [&news](const StoreState& state) { news.records(state); });
    ContactsCsvWriter edges(folder.contacts(clock.utc_ns()).string(), settings);

    ShiftSignatures signatures(files, folder.path(), say);
    DailyHead daily(settings.timezone);
    LiveAlarms alarms(settings, schedule, clock, folder.path(), store, delivery.get(), say);
    ShiftBook book(
        settings, provenance, &schedule, store, write_files,
        [&news](const Passage& passage) { news.passage(passage); },
        [&news](const MicrophoneMinute& minute) { news.health(minute); });
    const std::vector<double> rates_hz = rates_hz_of(microphones);
    LiveClips clips(settings, rates_hz, book, files, clock, folder.path(), say);
    LivePage page(settings, book, folder.path(), say);
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
                         news.edges_file(edges.write(contact));
                     });

    page.start();
    for (const auto& source : contacts.sources) source->start(queue);
    news.listening(settings, profile.has_value());
    live.listen(stop_wished(), options.for_s, [&](std::int64_t samples) {
        alarms.turn(live);
        clips.turn(live);
        signatures.turn(clock.monotonic_ns());
        if (daily.due(clock.utc_ns())) store.post(SignHead{"day"});
        page.turn(live);
        if (take_reload_wish()) news.reload_wished(settings.file);
        news.heard(samples, any_hangs(microphones));
    });
    alarms.turn(live);      // with what the end brought
    store.flush(kLastRows); // a clip's row names its shift, whose row must be there before
    clips.finish(live);
    news.stopping();
    page.stop();
    for (const auto& source : contacts.sources) source->stop();
    store.post(SignHead{"stop"});
    flush(store, folder.records());
    signatures.look();
    log->info("stopped after {:.1f} s of audio", live.heard_until_s());
}

} // namespace quietpass
