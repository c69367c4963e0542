#include "daemon/calibration/calibration_book.h"

#include <charconv>
#include <cmath>
#include <limits>
#include <string_view>
#include <system_error>

#include "daemon/failure.h"
#include "daemon/records/csv_line.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

const char* const kCalibrationsHeader =
    "calibrated_at,station,microphone,sensitivity_db_spl_fs,drift_db,calibrator_db,calibrator_serial,"
    "tone_db_fs,tone_hz,spread_db,over_rest_db,distortion_percent,source\n";

namespace {

constexpr std::size_t kFields = 13;

// The fields of one line as CsvLine writes them (RFC 4180, no line ends within a field).
std::vector<std::string> fields_of(std::string_view line) {
    std::vector<std::string> fields(1);
    bool quoted = false;
    for (std::size_t at = 0; at < line.size(); ++at) {
        const char letter = line[at];
        if (letter == '"') {
            if (quoted && at + 1 < line.size() && line[at + 1] == '"') {
                fields.back() += line[++at];
            } else {
                quoted = !quoted;
            }
        } else if (letter == ',' && !quoted) {
            fields.emplace_back();
        } else {
            fields.back() += letter;
        }
    }
    return fields;
}

// NaN for a field that is no number.
double number_in(const std::string& field) {
    double value = 0.0;
    const char* const end = field.data() + field.size();
    const auto [stop, error] = std::from_chars(field.data(), end, value);
    const bool whole = error == std::errc() && stop == end && std::isfinite(value);
    return whole ? value : std::numeric_limits<double>::quiet_NaN();
}

// Nothing when the line is no calibration.
std::optional<Calibration> calibration_from(std::string_view line) {
    const std::vector<std::string> fields = fields_of(line);
    if (fields.size() != kFields || !utc_from_text(fields[0])) return std::nullopt;
    Calibration calibration;
    calibration.calibrated_at = fields[0];
    calibration.station = fields[1];
    calibration.microphone = fields[2];
    calibration.sensitivity_db_spl_fs = number_in(fields[3]);
    if (!fields[4].empty()) calibration.drift_db = number_in(fields[4]);
    calibration.calibrator_db = number_in(fields[5]);
    calibration.calibrator_serial = fields[6];
    calibration.tone.level_db = number_in(fields[7]);
    calibration.tone.frequency_hz = number_in(fields[8]);
    calibration.tone.spread_db = number_in(fields[9]);
    calibration.tone.over_rest_db = number_in(fields[10]);
    calibration.tone.distortion_percent = number_in(fields[11]);
    calibration.source = fields[12];
    const double sum = calibration.sensitivity_db_spl_fs + calibration.drift_db.value_or(0.0) +
                       calibration.calibrator_db;
    if (!std::isfinite(sum)) return std::nullopt;
    return calibration;
}

std::string line_of(const Calibration& calibration) {
    CsvLine line;
    line.text(calibration.calibrated_at).text(calibration.station).text(calibration.microphone);
    line.number(calibration.sensitivity_db_spl_fs, 2);
    line.number(calibration.drift_db.value_or(std::numeric_limits<double>::quiet_NaN()), 2);
    line.number(calibration.calibrator_db, 2).text(calibration.calibrator_serial);
    line.number(calibration.tone.level_db, 2).number(calibration.tone.frequency_hz, 1);
    line.number(calibration.tone.spread_db, 2).number(calibration.tone.over_rest_db, 1);
    line.number(calibration.tone.distortion_percent, 1).text(calibration.source);
    return line.take();
}

// The bytes of the file, checked; empty when there is none.
std::string bytes_of(const Files& files, const std::filesystem::path& file) {
    std::optional<std::string> bytes;
    try {
        bytes = files.read(file);
    } catch (const std::system_error& error) {
        throw Failure(kExitFailure, file.string() + ": can't be read (" + error.code().message() +
                                        "); check its permissions");
    }
    if (!bytes) return "";
    if (bytes->rfind(kCalibrationsHeader, 0) != 0 || bytes->back() != '\n') {
        throw Failure(kExitFailure,
                      file.string() + ": is no whole calibrations.csv; mend it or move it away");
    }
    return *std::move(bytes);
}

} // namespace

std::vector<Calibration> read_calibrations(const Files& files, const std::filesystem::path& file) {
    const std::string bytes = bytes_of(files, file);
    std::vector<Calibration> all;
    std::size_t number = 1;
    for (std::size_t at = 0; at < bytes.size(); ++number) {
        const std::size_t end = bytes.find('\n', at);
        const std::string_view line = std::string_view(bytes).substr(at, end - at);
        at = end + 1;
        if (number == 1) continue;
        auto calibration = calibration_from(line);
        if (!calibration) {
            throw Failure(kExitFailure, file.string() + ":" + std::to_string(number) +
                                            ": is no calibration; mend the line or move the file away");
        }
        all.push_back(*std::move(calibration));
    }
    return all;
}

void add_calibration(Files& files, const std::filesystem::path& folder, const Calibration& calibration) {
    prepare_output_folder(files, folder);
    std::string bytes = bytes_of(files, folder / kCalibrationsFile);
    if (bytes.empty()) bytes = kCalibrationsHeader;
    const NamedBytes set[] = {{kCalibrationsFile, bytes + line_of(calibration)}};
    write_whole(files, folder, set);
}

const Calibration* calibration_in_force(std::span<const Calibration> all, const std::string& station,
                                        const std::string& microphone,
                                        std::optional<std::int64_t> at_utc_ns) {
    const Calibration* latest = nullptr;
    std::int64_t latest_utc_ns = 0;
    for (const Calibration& calibration : all) {
        if (calibration.station != station || calibration.microphone != microphone) continue;
        const std::int64_t utc_ns = *utc_from_text(calibration.calibrated_at);
        if (at_utc_ns && utc_ns > *at_utc_ns) continue;
        if (latest != nullptr && utc_ns < latest_utc_ns) continue;
        latest = &calibration;
        latest_utc_ns = utc_ns;
    }
    return latest;
}

bool use_calibrations(StationSettings& settings, std::span<const Calibration> all,
                      std::optional<std::int64_t> at_utc_ns) {
    bool used = false;
    for (MicrophoneSettings& microphone : settings.microphones) {
        if (microphone.reference) continue;
        const Calibration* const found =
            calibration_in_force(all, settings.name, microphone.name, at_utc_ns);
        if (found == nullptr) continue;
        microphone.reference =
            LevelReference{.sensitivity_db_spl_fs = found->sensitivity_db_spl_fs,
                           .calibrated_at = found->calibrated_at,
                           .calibrator_serial = found->calibrator_serial,
                           .calibrator_db = found->calibrator_db,
                           .drift_db = found->drift_db};
        used = true;
    }
    return used;
}

} // namespace quietpass
