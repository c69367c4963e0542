#include "daemon/commands/calibrate_command.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <optional>

#include "daemon/calibration/calibration_book.h"
#include "daemon/calibration/calibrator_tone.h"
#include "daemon/capture/file_source.h"
#include "daemon/capture/portaudio_source.h"
#include "daemon/capture/portaudio_thread.h"
#include "daemon/clock.h"
#include "daemon/failure.h"
#include "daemon/progress_line.h"
#include "daemon/records/utc_text.h"
#include "daemon/settings/station_file.h"

namespace quietpass {

namespace {

constexpr std::int64_t kSecond_ns = 1'000'000'000;
constexpr double kLowestRate_hz = 16000.0;

std::size_t chosen_microphone(const StationSettings& settings, const std::string& name) {
    std::string names;
    for (std::size_t i = 0; i < settings.microphones.size(); ++i) {
        if (settings.microphones[i].name == name) return i;
        names += (names.empty() ? "" : ", ") + settings.microphones[i].name;
    }
    if (name.empty() && settings.microphones.size() == 1) return 0;
    if (name.empty()) throw Failure(kExitUsage, "calibrate: say which with --microphone: " + names);
    throw Failure(kExitUsage, "calibrate: --microphone " + name + ": is not in " + settings.file +
                                  ", which has " + names);
}

std::int64_t moment_of(const std::string& text) {
    if (text.empty()) return RealClock().utc_ns();
    const auto utc_ns = utc_from_text(text);
    if (!utc_ns) {
        throw Failure(kExitUsage,
                      "calibrate: --at " + text + ": expected a UTC time such as 2026-03-02T13:00:00Z");
    }
    return *utc_ns;
}

void check_rate(double rate_hz, const std::string& where) {
    if (rate_hz >= kLowestRate_hz) return;
    throw Failure(kExitFailure, where + ": has a sample rate of " +
                                    std::to_string(static_cast<int>(rate_hz)) +
                                    " Hz; a calibration needs 16000 or more");
}

CalibratorTone listen_to_file(const CalibrateOptions& options, std::size_t microphone,
                              std::size_t microphones) {
    FileSource file(options.audio);
    check_rate(file.sample_rate_hz(), options.audio);
    const auto channels = static_cast<std::size_t>(file.channels());
    std::size_t channel = 0;
    if (options.channel > 0) {
        channel = static_cast<std::size_t>(options.channel) - 1;
    } else if (channels > 1 && channels != microphones) {
        throw Failure(kExitUsage, options.audio + ": has " + std::to_string(channels) +
                                      " channels; say which with --channel, the first is 1");
    } else if (channels > 1) {
        channel = microphone;
    }
    if (channel >= channels) {
        throw Failure(kExitUsage, options.audio + ": has " + std::to_string(channels) +
                                      " channel(s), no channel " + std::to_string(options.channel));
    }
    CalibratorTone tone(file.sample_rate_hz(), options.steady_s);
    Stretch stretch;
    while (file.next(stretch) && stretch.kind == Stretch::Kind::kSamples) {
        tone.process(stretch.channel(static_cast<int>(channel)));
    }
    return tone;
}

CalibratorTone listen_to_device(const CalibrateOptions& options, const StationSettings& settings,
                                std::size_t microphone) {
    const std::string& device = settings.microphones[microphone].device;
    if (device.empty()) {
        throw Failure(kExitUsage, settings.file + ": microphone " + settings.microphones[microphone].name +
                                      " has no `device`; give one, or a recording with --audio");
    }
    // Microphones in a row on one device are its channels, in order, as in `run`.
    std::size_t first = microphone;
    while (first > 0 && settings.microphones[first - 1].device == device) --first;
    const auto channel = static_cast<int>(microphone - first);
    PortAudioThread audio;
    const RealClock clock;
    PortAudioSource source(audio, clock, MicrophoneWish{.device = device, .channels = channel + 1});
    check_rate(source.sample_rate_hz(), "microphone " + settings.microphones[microphone].name);

    CalibratorTone tone(source.sample_rate_hz(), options.steady_s);
    ProgressLine progress("calibrate", ProgressLine::Elsewhere::kNothing);
    const auto tenths = [](double seconds) { return static_cast<std::size_t>(std::floor(10.0 * seconds)); };
    const std::int64_t end_ns =
        clock.monotonic_ns() +
        static_cast<std::int64_t>(options.patience_s * static_cast<double>(kSecond_ns));
    Stretch stretch;
    while (!tone.tone() && clock.monotonic_ns() < end_ns) {
        if (!source.next(stretch, clock.monotonic_ns() + kSecond_ns / 10)) continue;
        if (stretch.kind == Stretch::Kind::kSamples) {
            tone.process(stretch.channel(channel));
        } else {
            tone.lose(stretch.count);
        }
        const std::size_t wanted = tenths(options.steady_s);
        progress.show(std::min(tenths(tone.tone_for_s()), wanted), wanted, "waiting for a steady tone");
    }
    return tone;
}

std::string signed_db(double db) {
    char text[32];
    std::snprintf(text, sizeof text, "%+.2f dB", db);
    return text;
}

// What differs from the calibration before by more than it should.
void warn_of_change(const Calibration& now, const Calibration& last, double most_drift_db) {
    // Between the two levels that calibrators have.
    constexpr double kOtherLevel_db = 20.0;
    const double drift_db = now.drift_db.value_or(0.0);
    if (std::abs(drift_db) > most_drift_db) {
        const bool other_level = std::abs(std::abs(drift_db) - kOtherLevel_db) <= most_drift_db;
        std::fprintf(stderr, "calibrate: warning: microphone %s drifted by %s, more than %.1f dB; %s\n",
                     now.microphone.c_str(), signed_db(drift_db).c_str(), most_drift_db,
                     other_level ? "was the calibrator set to the other of 94 and 114 dB? See --level"
                                 : "check its gain, its capsule and the calibrator's level");
    }
    if (now.calibrator_serial != last.calibrator_serial && !now.calibrator_serial.empty() &&
        !last.calibrator_serial.empty()) {
        std::fprintf(stderr,
                     "calibrate: warning: calibrator %s, the time before it was %s; the drift holds what "
                     "differs between them\n",
                     now.calibrator_serial.c_str(), last.calibrator_serial.c_str());
    }
}

} // namespace

void calibrate(const CalibrateOptions& options) {
    const std::int64_t utc_ns = moment_of(options.at);
    const StationSettings settings = read_station_file(options.station);
    const std::size_t index = chosen_microphone(settings, options.microphone);
    const std::string& name = settings.microphones[index].name;
    RealFiles files;
    const std::filesystem::path out = options.out;
    prepare_output_folder(files, out);
    const std::vector<Calibration> before = read_calibrations(out / kCalibrationsFile);

    const CalibratorTone heard = options.audio.empty()
                                     ? listen_to_device(options, settings, index)
                                     : listen_to_file(options, index, settings.microphones.size());
    if (!heard.tone()) {
        const std::string where = options.audio.empty() ? "" : options.audio + ": ";
        throw Failure(kExitFailure, where + "microphone " + name + " not calibrated: " + heard.why_not());
    }

    Calibration calibration;
    calibration.calibrated_at = utc_text(utc_ns);
    calibration.station = settings.name;
    calibration.microphone = name;
    calibration.tone = *heard.tone();
    calibration.calibrator_db = options.level_db;
    calibration.calibrator_serial = options.serial;
    calibration.sensitivity_db_spl_fs = options.level_db - calibration.tone.level_db;
    calibration.source = options.audio.empty()
                             ? "device " + settings.microphones[index].device
                             : "file " + std::filesystem::path(options.audio).filename().string();
    const Calibration* const last = calibration_in_force(before, settings.name, name, utc_ns);
    if (last != nullptr) {
        calibration.drift_db = calibration.sensitivity_db_spl_fs - last->sensitivity_db_spl_fs;
    }
    add_calibration(files, out, calibration);

    std::printf("%s: %.1f Hz at %.2f dB re full scale, within %.2f dB for %.1f s\n", name.c_str(),
                calibration.tone.frequency_hz, calibration.tone.level_db, calibration.tone.spread_db,
                calibration.tone.end_s - calibration.tone.start_s);
    std::printf("sensitivity: a sine at full scale is %.2f dB SPL\n", calibration.sensitivity_db_spl_fs);
    std::printf(
        "drift: %s\n",
        last == nullptr
            ? "none yet, this is the first calibration"
            : (signed_db(*calibration.drift_db) + " since " + last->calibrated_at.substr(0, 10)).c_str());
    std::printf("written to %s\n", (out / kCalibrationsFile).c_str());
    std::fflush(stdout);
    if (last != nullptr) warn_of_change(calibration, *last, settings.health.calibration_drift_db);
    if (settings.microphones[index].reference) {
        std::fprintf(stderr,
                     "calibrate: warning: %s gives microphone %s sensitivity_db_spl_fs, which is used in its "
                     "place; take that key out\n",
                     settings.file.c_str(), name.c_str());
    }
}

} // namespace quietpass
