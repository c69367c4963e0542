// One calibration of a microphone: a row of calibrations.csv (daemon/records/FORMATS.md). Plain value.
#pragma once

#include <optional>
#include <string>

#include "daemon/calibration/calibrator_tone.h"

namespace quietpass {

struct Calibration {
    std::string calibrated_at; // UTC, "2026-03-02T05:00:00.000Z"
    std::string station;
    std::string microphone;
    double sensitivity_db_spl_fs = 0.0; // dB SPL of a sine at digital full scale
    std::optional<double> drift_db;     // against the calibration before; empty: the first
    double calibrator_db = 94.0;        // dB SPL
    std::string calibrator_serial;      // may be empty
    SteadyTone tone;                    // start_s and end_s are not kept
    std::string source;                 // "device NAME" or "file NAME"
};

} // namespace quietpass
