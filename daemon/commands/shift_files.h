// Writes the files of a closed shift into OUT/shifts/START_NAME/, and says so in the log. Trouble with the
// disk is a line in the log: the rows are in the store and listening goes on.
#pragma once

#include <spdlog/logger.h>

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>

#include "daemon/records/files.h"
#include "daemon/shift_book.h"

namespace quietpass {

class ShiftFiles {
  public:
    // files must outlive it.
    ShiftFiles(Files& files, std::filesystem::path out, std::shared_ptr<spdlog::logger> log);

    void write(const ClosedShift& closed) const;

  private:
    Files& files_;
    std::filesystem::path out_;
    std::shared_ptr<spdlog::logger> log_;
};

// "2026-03-02T13:00:00.123Z" as part of a file name.
std::string file_stamp(std::int64_t utc_ns);

} // namespace quietpass
