#include "daemon/calibration/calibration_book.h"

#include <limits>

#include "daemon/failure.h"
#include "daemon/records/csv_line.h"
#include "daemon/records/delimited_table.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

const char* const kCalibrationsHeader =
    "calibrated_at,station,microphone,sensitivity_db_spl_fs,drift_db,calibrator_db,calibrator_serial,"
    "tone_db_fs,tone_hz,spread_db,over_rest_db,distortion_percent,source\n";

namespace {

double number_of(const DelimitedTable& table, const char* column) {
    const std::optional<double> value = table.number(column);
    if (!value) table.fail(std::string(column) + ": expected a number, found nothing");
    return *value;
}

Calibration calibration_in(const DelimitedTable& table) {
    Calibration calibration;
    calibration.calibrated_at = table.cell("calibrated_at");
    if (!utc_from_text(calibration.calibrated_at)) {
        table.fail("calibrated_at: expected a UTC time, found \"" + calibration.calibrated_at + "\"");
    }
    calibration.station = table.cell("station");
    calibration.microphone = table.cell("microphone");
    calibration.sensitivity_db_spl_fs = number_of(table, "sensitivity_db_spl_fs");
    calibration.drift_db = table.number("drift_db");
    calibration.calibrator_db = number_of(table, "calibrator_db");
    calibration.calibrator_serial = table.cell("calibrator_serial");
    calibration.tone.level_db = number_of(table, "tone_db_fs");
    calibration.tone.frequency_hz = number_of(table, "tone_hz");
    calibration.tone.spread_db = number_of(table, "spread_db");
    calibration.tone.over_rest_db = number_of(table, "over_rest_db");
    calibration.tone.distortion_percent = number_of(table, "distortion_percent");
    calibration.source = table.cell("source");
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

} // namespace

std::vector<Calibration> read_calibrations(const std::filesystem::path& file) {
    std::vector<Calibration> all;
    if (!std::filesystem::exists(file)) return all;
    DelimitedTable table(file, Delimiter::kComma);
    while (table.next()) all.push_back(calibration_in(table));
    return all;
}

void add_calibration(Files& files, const std::filesystem::path& folder, const Calibration& calibration) {
    prepare_output_folder(files, folder);
    const std::filesystem::path file = folder / kCalibrationsFile;
    read_calibrations(file); // a damaged file is not added to
    std::string bytes = files.read(file).value_or(kCalibrationsHeader);
    if (!bytes.starts_with(kCalibrationsHeader) || !bytes.ends_with('\n')) {
        throw Failure(kExitFailure,
                      file.string() + ": is no whole calibrations.csv; mend it or move it away");
    }
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
        const Calibration* const found = calibration_in_force(all, settings.name, microphone.name, at_utc_ns);
        if (found == nullptr) continue;
        microphone.reference = LevelReference{.sensitivity_db_spl_fs = found->sensitivity_db_spl_fs,
                                              .calibrated_at = found->calibrated_at,
                                              .calibrator_serial = found->calibrator_serial,
                                              .calibrator_db = found->calibrator_db,
                                              .drift_db = found->drift_db};
        used = true;
    }
    return used;
}

} // namespace quietpass
