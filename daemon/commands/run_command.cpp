#include "daemon/commands/run_command.h"

#include <spdlog/spdlog.h>

#include <filesystem>

#include "daemon/alarms/delivery/delivery_plans.h"
#include "daemon/build_facts.h"
#include "daemon/calibration/calibration_book.h"
#include "daemon/commands/health_news.h"
#include "daemon/commands/killed_shifts.h"
#include "daemon/commands/live_alarms.h"
#include "daemon/commands/live_microphones.h"
#include "daemon/commands/live_station.h"
#include "daemon/commands/passage_line.h"
#include "daemon/commands/provenance.h"
#include "daemon/commands/run_lock.h"
#include "daemon/commands/run_log.h"
#include "daemon/commands/run_signals.h"
#include "daemon/commands/service_manager.h"
#include "daemon/commands/shift_files.h"
#include "daemon/contacts/contacts_csv.h"
#include "daemon/contacts/live_sources.h"
#include "daemon/event_fan_out.h"
#include "daemon/failure.h"
#include "daemon/hearing/separation.h"
#include "daemon/profile_file.h"
#include "daemon/records/sha256.h"
#include "daemon/settings/station_file.h"

namespace quietpass {

void run(const RunOptions& options) {
    install_signals();
    StationSettings settings = read_station_file(options.station);
    const auto profile = read_profile(settings.species, settings.profile);
    const auto log = make_log(options.log);
    const auto say = [&log](bool warning, const std::string& line) {
        log->log(warning ? spdlog::level::warn : spdlog::level::info, line);
    };
    const ScaledClock clock(options.speed);

    RealFiles files;
    const std::filesystem::path out = options.out;
    prepare_output_folder(files, out);
    const RunLock lock(options.out);
    Provenance provenance = provenance_of(settings, profile ? &*profile : nullptr);
    const std::filesystem::path calibrations = out / kCalibrationsFile;
    if (use_calibrations(settings, read_calibrations(calibrations), clock.utc_ns())) {
        provenance.hashes["calibrations"] = sha256_hex_of_file(calibrations.string());
    }
    const ShiftFiles shift_files(files, out, log);
    const auto write_files = [&shift_files](const ClosedShift& closed) { shift_files.write(closed); };
    Store opened(out / "records.db");
    if (const std::size_t killed = close_killed_shifts(settings, provenance, opened, write_files);
        killed > 0) {
        log->warn("{} shift(s) left open by a killed run were closed with what was written", killed);
    }

    // What an earlier run left in the outbox goes out now. Receivers live in real time, whatever the speed.
    const RealClock real_clock;
    const auto delivery = open_delivery(settings, out, real_clock, say);

    PortAudioThread audio;
    const auto microphones = open_microphones(settings, audio, clock);
    const LiveSources contacts = live_sources(settings, clock);
    const Schedule schedule(settings.timezone, settings.shifts);
    StoreWriter store(std::move(opened), {}, [&log](const StoreState& state) {
        if (state.failing || !state.error.empty()) {
            log->error("records can't be written: {}; {} rows wait, {} lost, {} malformed", state.error,
                       state.waiting, state.dropped, state.malformed);
        } else {
            log->info("records are written again");
        }
    });
    ContactsCsvWriter edges((out / ("contacts_" + file_stamp(clock.utc_ns()) + ".csv")).string(), settings);

    LiveAlarms alarms(settings, schedule, clock, out, store, delivery.get(), say);

    LiveStation::Inputs inputs;
    for (const auto& microphone : microphones) inputs.audio.push_back(microphone.get());
    ContactQueue queue;
    inputs.contacts = &queue;
    for (const auto& source : contacts.sources) inputs.contact_sources.push_back(source->name());

    ServiceManager manager;
    HealthNews health_news;
    const auto tell_health = [&](const MicrophoneMinute& minute) {
        const auto news = health_news.take(minute);
        if (news) log->log(news->warning ? spdlog::level::warn : spdlog::level::info, news->text);
    };
    const auto tell_passage = [&](const Passage& passage) {
        if (options.show) show_passage(passage);
        const char* heard = !passage.excluded.empty() ? ": not scored"
                            : passage.vocal           ? ": vocal"
                                                      : ": silent";
        manager.status("passage " + std::to_string(passage.id) + heard);
    };
    ShiftBook book(settings, provenance, &schedule, store, write_files, tell_passage, tell_health);
    EventFanOut events({&book, &alarms.events()});
    Station station(settings, profile ? &profile->profile : nullptr, rates_hz_of(microphones), events);
    LiveStation live(settings, clock, inputs, contacts.source_of, station, book, say,
                     [&edges, &log, &alarms, failed = false](const ContactNews& news) mutable {
                         if (news.what == ContactNews::What::kEdge) alarms.on_edge(news.edge);
                         const bool written = edges.write(news);
                         if (!written && !failed)
                             log->error("contacts.csv can't be written; edges go to the store only");
                         failed = !written;
                     });

    for (const auto& source : contacts.sources) source->start(queue);
    if (options.show) show_passage_header();
    log->info("quietpass {} listens at {} ({}), {} microphone(s)", kVersion, settings.name,
              name_of(settings.species), settings.microphones.size());
    if (profile) {
        const Separation separation = separation_of(settings);
        log->log(separation.by == SeparatedBy::kLevelAndDelay ? spdlog::level::info : spdlog::level::warn,
                 "{}", separation.note);
    }
    bool told_ready = false;
    live.listen(stop_wished(), options.for_s, [&](std::int64_t samples) {
        if (!told_ready && samples > 0) {
            manager.ready();
            told_ready = true;
        }
        alarms.turn(live);
        if (take_reload_wish()) {
            log->warn("settings are read at the start only; restart the daemon to use {}", settings.file);
        }
        if (!any_hangs(microphones)) manager.progress(samples);
    });
    alarms.turn(live); // with what the end brought
    manager.stopping();
    for (const auto& source : contacts.sources) source->stop();
    if (!store.flush(std::chrono::seconds(10))) {
        throw Failure(kExitFailure, (out / "records.db").string() + ": the last rows could not be written (" +
                                        store.state().error + "); free the disk and look at the log");
    }
    log->info("stopped after {:.1f} s of audio", live.heard_until_s());
}

} // namespace quietpass
