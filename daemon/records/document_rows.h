// SQL of what was in force while records were made: station files and profiles by their text, rows of
// calibrations.csv. One that is there already is not added again. Inside an IMMEDIATE transaction
// (Store::change). Errors: SQLite::Exception.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <string>

namespace quietpass {

struct Document {
    std::string kind; // station_file, profile
    std::string name; // of the file, without its folder
    std::string text;
};

void add_document(SQLite::Database& database, const Document& document, std::int64_t utc_ns);

struct CalibrationLine {
    std::string calibrated_at;
    std::string station;
    std::string microphone;
    std::string line; // the whole row, without its line end
};

void add_calibration_line(SQLite::Database& database, const CalibrationLine& calibration);

} // namespace quietpass
