#include "daemon/commands/run_command.h"

#include <spdlog/sinks/basic_file_sink.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include <atomic>
#include <csignal>
#include <filesystem>
#include <memory>
#include <optional>
#include <system_error>

#include "daemon/alarms/delivery/delivery_plans.h"
#include "daemon/build_facts.h"
#include "daemon/calibration/calibration_book.h"
#include "daemon/capture/portaudio_source.h"
#include "daemon/capture/portaudio_thread.h"
#include "daemon/commands/health_news.h"
#include "daemon/commands/killed_shifts.h"
#include "daemon/commands/live_station.h"
#include "daemon/commands/passage_line.h"
#include "daemon/commands/provenance.h"
#include "daemon/commands/run_lock.h"
#include "daemon/commands/service_manager.h"
#include "daemon/contacts/contacts_csv.h"
#include "daemon/contacts/live_sources.h"
#include "daemon/failure.h"
#include "daemon/hearing/separation.h"
#include "daemon/profile_file.h"
#include "daemon/records/sha256.h"
#include "daemon/records/utc_text.h"
#include "daemon/settings/station_file.h"

namespace quietpass {

namespace {

std::atomic<bool> stop_wished{false};

std::atomic<bool> reload_wished{false};

void wish_stop(int /*signal*/) {
    stop_wished.store(true);
}
void wish_reload(int /*signal*/) {
    reload_wished.store(true);
}

std::shared_ptr<spdlog::logger> make_log(const std::string& path) {
    std::shared_ptr<spdlog::logger> log;
    try {
        if (path.empty()) {
            log = std::make_shared<spdlog::logger>("quietpass",
                                                   std::make_shared<spdlog::sinks::stderr_sink_mt>());
        } else {
            log = std::make_shared<spdlog::logger>("quietpass",
                                                   std::make_shared<spdlog::sinks::basic_file_sink_mt>(path));
        }
    } catch (const spdlog::spdlog_ex&) {
        throw Failure(kExitFailure,
                      "run: --log " + path + ": can't be written; check the folder and its permissions");
    }
    log->set_pattern("%Y-%m-%dT%H:%M:%S.%eZ %l %v", spdlog::pattern_time_type::utc);
    log->flush_on(spdlog::level::info);
    return log;
}

// "2026-03-02T13:00:00.123Z" as part of a file name.
std::string file_stamp(std::int64_t utc_ns) {
    std::string stamp;
    for (const char letter : utc_text(utc_ns)) {
        if (letter != ':' && letter != '-') stamp += letter == '.' ? '_' : letter;
    }
    return stamp;
}

std::string words_of(const ShiftRecord& record) {
    std::string line =
        std::to_string(record.vocal) + " vocal of " + std::to_string(record.scored) + " scored";
    if (record.percent) {
        char text[96];
        std::snprintf(text, sizeof text, ", %.1f %% (95 %% interval %.1f to %.1f %%)", *record.percent,
                      *record.percent_low, *record.percent_high);
        line += text;
    }
    return line + ", " + std::to_string(record.passages - record.scored) + " excluded";
}

std::vector<std::unique_ptr<PortAudioSource>> open_microphones(const StationSettings& settings,
                                                               PortAudioThread& audio, const Clock& clock) {
    std::vector<std::unique_ptr<PortAudioSource>> sources;
    for (std::size_t i = 0; i < settings.microphones.size();) {
        const std::string& device = settings.microphones[i].device;
        if (device.empty()) {
            throw Failure(kExitUsage, settings.file + ": microphone " + settings.microphones[i].name +
                                          " has no `device`; `quietpass devices` lists those there are");
        }
        // Microphones in a row on one device are its channels, in order.
        std::size_t end = i;
        while (end < settings.microphones.size() && settings.microphones[end].device == device) ++end;
        sources.push_back(std::make_unique<PortAudioSource>(
            audio, clock, MicrophoneWish{.device = device, .channels = static_cast<int>(end - i)}));
        i = end;
    }
    return sources;
}

void install_signals() {
    struct sigaction action {};
    action.sa_handler = wish_stop;
    sigaction(SIGTERM, &action, nullptr);
    sigaction(SIGINT, &action, nullptr);
    action.sa_handler = wish_reload;
    sigaction(SIGHUP, &action, nullptr);
    std::signal(SIGPIPE, SIG_IGN);
}

} // namespace

void run(const RunOptions& options) {
    install_signals();
    StationSettings settings = read_station_file(options.station);
    const auto profile = read_profile(settings.species, settings.profile);
    const auto log = make_log(options.log);
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
    const auto write_files = [&](const ClosedShift& closed) {
        const std::string start =
            closed.record.start_utc_ns ? file_stamp(*closed.record.start_utc_ns) : "undated";
        const std::filesystem::path folder = out / "shifts" / (start + "_" + closed.record.shift);
        try {
            prepare_output_folder(files, folder);
            write_whole(files, folder, files_of(closed));
            log->info("shift {} closed: {}; {}", closed.record.shift, words_of(closed.record),
                      folder.string());
        } catch (const Failure& failure) {
            // The rows are in the store; listening goes on.
            log->error("{}; the shift's rows are in {}", failure.what(), (out / "records.db").string());
        }
    };
    Store opened(out / "records.db");
    if (const std::size_t killed = close_killed_shifts(settings, provenance, opened, write_files);
        killed > 0) {
        log->warn("{} shift(s) left open by a killed run were closed with what was written", killed);
    }

    // What an earlier run left in the outbox goes out now. Receivers live in real time, whatever the speed.
    const RealClock real_clock;
    const auto delivery = open_delivery(settings, out, real_clock, [&log](bool warning, const std::string& line) {
        log->log(warning ? spdlog::level::warn : spdlog::level::info, line);
    });

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

    LiveStation::Inputs inputs;
    std::vector<double> rates_hz;
    for (const auto& microphone : microphones) {
        inputs.audio.push_back(microphone.get());
        rates_hz.insert(rates_hz.end(), static_cast<std::size_t>(microphone->channels()),
                        microphone->sample_rate_hz());
    }
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
    Station station(settings, profile ? &profile->profile : nullptr, rates_hz, book);
    LiveStation live(
        settings, clock, inputs, contacts.source_of, station, book,
        [&log](bool warning, const std::string& line) {
            log->log(warning ? spdlog::level::warn : spdlog::level::info, line);
        },
        [&edges, &log, failed = false](const ContactEdge& edge) mutable {
            const bool written = edges.write(edge);
            if (!written && !failed) log->error("contacts.csv can't be written; edges go to the store only");
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
    live.listen(stop_wished, options.for_s, [&](std::int64_t samples) {
        if (!told_ready && samples > 0) {
            manager.ready();
            told_ready = true;
        }
        if (reload_wished.exchange(false)) {
            log->warn("settings are read at the start only; restart the daemon to use {}", settings.file);
        }
        for (const auto& microphone : microphones) {
            // Only a restart helps a PortAudio call that never comes back.
            if (microphone->health().hanging) return;
        }
        manager.progress(samples);
    });
    manager.stopping();
    for (const auto& source : contacts.sources) source->stop();
    if (!store.flush(std::chrono::seconds(10))) {
        throw Failure(kExitFailure, (out / "records.db").string() + ": the last rows could not be written (" +
                                        store.state().error + "); free the disk and look at the log");
    }
    log->info("stopped after {:.1f} s of audio", live.heard_until_s());
}

} // namespace quietpass
