// What the commands that look into a record store share: where it is, which span of it, and how the answer is
// written. Errors: Failure. One thread.
#pragma once

#include <CLI/CLI.hpp>
#include <cstdint>
#include <memory>
#include <string>

#include "daemon/records/station_time.h"
#include "daemon/records/store.h"
#include "daemon/tables/table.h"

namespace quietpass {

struct RecordsOptions {
    std::string records; // a store, or the folder of `run` or `score` that it is in
    std::string from;
    std::string to;
    std::int64_t shift = 0; // 0: all
    bool csv = false;
    bool json = false;

    Output output() const { return json ? Output::kJson : csv ? Output::kCsv : Output::kText; }
};

void add_records(CLI::App& command, RecordsOptions& options);
void add_span(CLI::App& command, RecordsOptions& options);
void add_output(CLI::App& command, RecordsOptions& options);

enum class RecordsAccess { kReading, kWriting };

// An open store, and the time of its latest shift's station.
class OpenRecords {
  public:
    OpenRecords(std::string command, const std::string& records,
                RecordsAccess access = RecordsAccess::kReading);

    Store& store() { return store_; }
    const Store& store() const { return store_; }
    const LocalTime& time() const { return time_.local(); }

    // The moment that an option gives; `option` is its name, for the failure. Local time is refused while no
    // shift says in which zone.
    std::int64_t moment(const std::string& option, const std::string& text) const;

    RecordSpan span(const RecordsOptions& options) const;

    [[noreturn]] void fail(const std::string& what) const; // exit 2

  private:
    std::string command_;
    Store store_;
    StationTime time_;
};

void print(const Statement& statement, Output output);

} // namespace quietpass
