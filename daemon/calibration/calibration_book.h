// calibrations.csv: every calibration of the station's microphones, beside its records. Rows are only added;
// the file is written aside, synced and renamed, so it is the old one or the new one whatever happens.
//
// Errors: Failure with one line: exit 1 for a file that can't be read or written, 2 for what stands in it
// (with its line number). One program at a time may add.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "daemon/calibration/calibration.h"
#include "daemon/records/files.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

inline constexpr const char* kCalibrationsFile = "calibrations.csv";
extern const char* const kCalibrationsHeader;

// In the order of the file; empty when there is no such file.
std::vector<Calibration> read_calibrations(const std::filesystem::path& file);

// Adds a row to calibrations.csv in the folder, which is made where it is missing.
void add_calibration(Files& files, const std::filesystem::path& folder, const Calibration& calibration);

// The calibration of this microphone in force at a moment: the latest at or before it. at_utc_ns empty: the
// latest of all. Null: none.
const Calibration* calibration_in_force(std::span<const Calibration> all, const std::string& station,
                                        const std::string& microphone, std::optional<std::int64_t> at_utc_ns);

// Gives each microphone that has no sensitivity in the station file the calibration in force. True when one
// was used.
bool use_calibrations(StationSettings& settings, std::span<const Calibration> all,
                      std::optional<std::int64_t> at_utc_ns);

} // namespace quietpass
