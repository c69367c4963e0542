// What turns a microphone's levels re full scale into sound pressure levels, and where that is from. Plain
// value.
#pragma once

#include <optional>
#include <string>

namespace quietpass {

struct LevelReference {
    double sensitivity_db_spl_fs = 0.0; // dB SPL (re 20 µPa) of a sine at digital full scale

    // Of the calibration it is from; all empty when the station file gives the sensitivity.
    std::string calibrated_at; // UTC, "2026-03-02T05:00:00.000Z"
    std::string calibrator_serial;
    std::optional<double> calibrator_db; // its level, dB SPL
    std::optional<double> drift_db;      // against the calibration before
};

} // namespace quietpass
