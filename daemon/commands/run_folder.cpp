#include "daemon/commands/run_folder.h"

#include "daemon/calibration/calibration_book.h"
#include "daemon/commands/shift_files.h"
#include "daemon/records/sha256.h"

namespace quietpass {

namespace {

// The folder must be there before its lock is.
const std::string& prepared(Files& files, const std::string& folder) {
    prepare_output_folder(files, folder);
    return folder;
}

} // namespace

RunFolder::RunFolder(Files& files, const std::string& folder)
    : path_(folder), lock_(prepared(files, folder)) {}

std::filesystem::path RunFolder::contacts(std::int64_t utc_ns) const {
    return path_ / ("contacts_" + file_stamp(utc_ns) + ".csv");
}

void RunFolder::calibrate(StationSettings& settings, Provenance& provenance, const Clock& clock) const {
    const std::filesystem::path file = path_ / kCalibrationsFile;
    if (use_calibrations(settings, read_calibrations(file), clock.utc_ns())) {
        provenance.hashes["calibrations"] = sha256_hex_of_file(file.string());
    }
}

} // namespace quietpass
